//! Files that are something else altogether, told by how they begin.

/// First bytes of common files that hold no text, and what they are (each by its format's own specification).
const HEADS: [(&[u8], &str); 14] = [
    (b"\x89PNG\r\n\x1a\n", "a picture (PNG)"),
    (b"\xFF\xD8\xFF", "a picture (JPEG)"),
    (b"GIF8", "a picture (GIF)"),
    (b"%PDF-", "a PDF"),
    (b"PK\x03\x04", "a zip archive or office document"),
    (b"PK\x05\x06", "an empty zip archive"),
    (b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1", "an old office document"),
    (b"\x1F\x8B", "a packed file (gzip)"),
    (b"BZh", "a packed file (bzip2)"),
    (b"\xFD7zXZ\0", "a packed file (xz)"),
    (b"7z\xBC\xAF\x27\x1C", "a packed file (7z)"),
    (b"\x7FELF", "a program"),
    (b"glTF", "a mesh (GLB)"),
    (b"{\\rtf", "a rich text document"),
];
/// Bytes in which a text has no zero.
const LOOKED_AT: usize = 8192;

/// What a file is that cannot be a text; `None` where it may be one.
pub fn foreign(bytes: &[u8]) -> Option<&'static str> {
    if let Some((_, what)) = HEADS.iter().find(|(head, _)| bytes.starts_with(head)) {
        return Some(what);
    }
    // WebP: RIFF, four bytes of length, WEBP.
    if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        return Some("a picture (WebP)");
    }
    let wide = bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]);
    let zero = bytes.iter().take(LOOKED_AT).any(|b| *b == 0);
    (zero && !wide).then_some("no text")
}
