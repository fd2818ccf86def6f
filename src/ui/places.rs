//! Where the window keeps what is its own, as each system wants it: the XDG Base Directory Specification on Linux,
//! `Library` of the home folder on macOS, the user's application data on Windows. There is none where there is no home.

use std::path::PathBuf;

use etcetera::base_strategy::{BaseStrategy, choose_native_strategy};

/// The name of the program's own folder in each of them.
const OWN: &str = "toppleknot";

/// The file of the settings.
pub fn settings_file() -> Option<PathBuf> {
    Some(choose_native_strategy().ok()?.config_dir().join(OWN).join("window.ron"))
}

/// The folder of what is not saved yet: kept over a restart, but of this machine alone. Only XDG has a folder for such.
pub fn recovery_folder() -> Option<PathBuf> {
    let system = choose_native_strategy().ok()?;
    Some(system.state_dir().unwrap_or_else(|| system.data_dir()).join(OWN))
}
