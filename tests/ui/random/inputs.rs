//! What is opened, dropped, pasted and traced: every sample, and files that no maker would like to meet.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use toppleknot::document::{self, Document, TextScene, read_toy};
use toppleknot::part::End;
use toppleknot::toy::{Address, Seat};

/// Files in a folder of their own.
pub struct Inputs {
    /// Every file is written beneath it.
    pub folder: PathBuf,
    /// Toys and texts that open.
    pub whole: Vec<PathBuf>,
    /// Files that do not.
    pub broken: Vec<PathBuf>,
    /// Drawings and pictures for outlines, good and bad.
    pub drawings: Vec<PathBuf>,
}

/// Forty parts, each under its name, some of them so small that nothing can be stuffed.
fn forty_parts() -> String {
    let mut text = String::new();
    for i in 0..40 {
        let width = 6 * (1 + i % 6);
        let _ = write!(text, "Piece {i}\n6 ");
        for _ in 0..(2 + i % 7) {
            let _ = write!(text, "{width} ");
        }
        text.push_str("6\n\n");
    }
    text
}

/// A toy whose parts sit on each other, forty of them.
fn forty_sewn() -> Document {
    let (mut toy, _) = read_toy(&forty_parts(), &TextScene::default());
    toy.name = "Forty of them, with a name that is far too long for any line of any window ".repeat(3);
    for i in 0..toy.pieces.len() {
        let onto = toy.pieces[i.saturating_sub(1) / 3].part.name.clone();
        toy.pieces[i].placement.seat = match i {
            0 => Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 },
            _ if i % 5 == 0 => Seat::OnEnd { part: onto, end: End::Finish },
            _ => Seat::OnSurface { part: onto, at: Address { round: 2.0, angle_deg: 41.0 * i as f64 } },
        };
    }
    Document { toy }
}

const STRANGE: &str = include_str!("../../fuzz/seeds/toy_file/strange.toy.ron");
const HALF: &str = include_str!("../../fuzz/seeds/outline/half.svg");
const ENTITIES: &str = include_str!("../../fuzz/seeds/outline/entities.svg");

const ODD_NAMES: &str =
    "قطة\n6 12 18 18 12 6\n\nÉ\u{301}\u{200D}👪 «part» \"quoted\" \\ {}\n6 12 12 6\n\n頭\n6 12 18 12\n";

fn png(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    let picture = image::RgbaImage::from_pixel(width, height, image::Rgba([90, 120, 60, 255]));
    picture.write_to(&mut bytes, image::ImageFormat::Png).expect("it is written");
    bytes.into_inner()
}

impl Inputs {
    /// Writes them all.
    pub fn new(folder: &Path) -> Inputs {
        let folder = folder.to_owned();
        std::fs::create_dir_all(&folder).expect("a folder for the files");
        let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
        let mut whole = Vec::new();
        let mut entries: Vec<PathBuf> =
            std::fs::read_dir(samples).expect("the samples").flatten().map(|e| e.path()).collect();
        entries.sort();
        for path in entries.into_iter().filter(|p| p.is_file()) {
            let copy = folder.join(path.file_name().expect("a name"));
            std::fs::copy(&path, &copy).expect("a copy");
            whole.push(copy);
        }
        let put = |name: &str, bytes: &[u8]| {
            let path = folder.join(name);
            std::fs::write(&path, bytes).expect("written");
            path
        };
        whole.push(put("forty.txt", forty_parts().as_bytes()));
        whole.push(put("forty-sewn.toy.ron", document::to_text(&forty_sewn()).as_bytes()));
        whole.push(put("no-part.toy.ron", b"(version: 1, toy: (name: \"Nothing\"))"));
        whole.push(put("strange.toy.ron", STRANGE.as_bytes()));
        whole.push(put("odd-names.txt", ODD_NAMES.as_bytes()));
        whole.push(put("one-round.txt", b"Tip\nRnd 1: 6 sc in a magic ring (6)\n"));
        let long: String = (0..300).map(|i| format!("{} ", 6 + (i * 7) % 60)).collect();
        whole.push(put("three-hundred-rounds.txt", long.as_bytes()));
        let broken = vec![
            put("torn.toy.ron", b"(version: 1, toy: (name: \"half"),
            put("prose.txt", b"The lamps along the quay were lit."),
            put("empty.txt", b""),
            put("newer.toy.ron", b"(version: 9000, toy: ())"),
            folder.join("missing.toy.ron"),
            folder.clone(),
        ];
        let picture = png(60, 90);
        let drawings = vec![
            put("half.svg", HALF.as_bytes()),
            put("entities.svg", ENTITIES.as_bytes()),
            put("picture.png", &picture),
            put("torn.png", &picture[..picture.len() / 2]),
            put("wrong-ending.svg", &picture),
        ];
        Inputs { folder, whole, broken, drawings }
    }
}
