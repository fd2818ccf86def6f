//! Documents, samples and the command line, as files on disk.
