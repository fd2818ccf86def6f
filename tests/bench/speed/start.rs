//! From start to first frame, and the size of the program, against an empty window of the same toolkit.
//!
//! Both programs are started in turns on a display of their own (Xvfb), whose picture is a file: the first frame is
//! there once most of the window's pixels have changed. With no display to be had it says so and measures nothing.

use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use super::table::{Row, ratio, time};
use super::timing::Times;

/// Starts of each program.
const STARTS: usize = 15;
/// The window of both, in pixels.
const SIZE: [usize; 2] = [1360, 860];
/// Names the program that opens an empty window: `tests/bench/empty_window.rs` as it was built.
const EMPTY_WINDOW: &str = "TOPPLEKNOT_EMPTY_WINDOW";
/// Longer than any start.
const TOO_LONG: Duration = Duration::from_secs(20);

/// A process that ends with this.
struct Ending(Child);

impl Drop for Ending {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// A display whose picture is a file.
struct Display {
    _server: Ending,
    number: String,
    folder: PathBuf,
}

impl Display {
    fn open() -> Result<Display, String> {
        let folder = std::env::temp_dir().join(format!("toppleknot-start-{}", std::process::id()));
        std::fs::create_dir_all(&folder).map_err(|e| e.to_string())?;
        let number = format!(":{}", 100 + std::process::id() % 800);
        let server = Command::new("Xvfb")
            .args([&number, "-screen", "0", "1600x1000x24", "-fbdir"])
            .arg(&folder)
            .stderr(Stdio::null())
            .spawn()
            .map_err(|e| format!("Xvfb does not start ({e})"))?;
        let display = Display { _server: Ending(server), number, folder };
        let begun = Instant::now();
        while display.picture().is_none() {
            if begun.elapsed() > TOO_LONG {
                return Err("Xvfb shows nothing".to_owned());
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        std::thread::sleep(Duration::from_millis(500));
        Ok(display)
    }

    /// Pixels on a coarse grid over the window.
    fn picture(&self) -> Option<Vec<[u8; 3]>> {
        use std::io::{Read, Seek, SeekFrom};
        let mut file = std::fs::File::open(self.folder.join("Xvfb_screen0")).ok()?;
        // An XWD file (X11/XWDFile.h): words of 32 bits, the highest byte first. The first is the header's size,
        // the 13th the bytes in a line, the 20th the number of colours of 12 bytes each before the pixels.
        let mut header = [0; 100];
        file.read_exact(&mut header).ok()?;
        let word = |n: usize| {
            u64::from(u32::from_be_bytes([header[4 * n], header[4 * n + 1], header[4 * n + 2], header[4 * n + 3]]))
        };
        let (start, line) = (word(0) + 12 * word(19), word(12));
        let mut picture = Vec::new();
        for y in (5..SIZE[1]).step_by(50) {
            for x in (5..SIZE[0]).step_by(50) {
                let mut pixel = [0; 3];
                file.seek(SeekFrom::Start(start + line * y as u64 + 4 * x as u64)).ok()?;
                file.read_exact(&mut pixel).ok()?;
                picture.push(pixel);
            }
        }
        Some(picture)
    }

    /// Time from start to the first frame.
    fn start(&self, program: &Path) -> Result<Duration, String> {
        let bare = self.picture().ok_or("the display is gone")?;
        let begun = Instant::now();
        let child = Command::new(program)
            .env("DISPLAY", &self.number)
            .env_remove("WAYLAND_DISPLAY")
            .env("XDG_CONFIG_HOME", self.folder.join("config"))
            .env("XDG_STATE_HOME", self.folder.join("state"))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .map_err(|e| e.to_string())?;
        let mut child = Ending(child);
        loop {
            let now = self.picture().ok_or("the display is gone")?;
            if now.iter().zip(&bare).filter(|(a, b)| a != b).count() * 2 > bare.len() {
                break;
            }
            if begun.elapsed() > TOO_LONG || child.0.try_wait().is_ok_and(|ended| ended.is_some()) {
                return Err(format!("{} shows no window", program.display()));
            }
            std::thread::sleep(Duration::from_millis(1));
        }
        let took = begun.elapsed();
        drop(child);
        // The display is bare again before the next start.
        let begun = Instant::now();
        while self.picture().as_ref() != Some(&bare) && begun.elapsed() < TOO_LONG {
            std::thread::sleep(Duration::from_millis(20));
        }
        Ok(took)
    }
}

pub fn rows() -> Vec<Row> {
    const SIZE_OF: &str = "size of the program";
    const START: &str = "start to first frame, software rendering";
    let size = sizes(SIZE_OF).unwrap_or_else(|why| Row::absent(SIZE_OF, &why));
    let start = starts(START).unwrap_or_else(|why| Row::absent(START, &why));
    vec![size, start]
}

/// The program and the one with an empty window.
fn programs() -> Result<[PathBuf; 2], String> {
    if cfg!(not(feature = "gui")) {
        return Err("built without the window".to_owned());
    }
    let empty = std::env::var_os(EMPTY_WINDOW).ok_or_else(|| format!("{EMPTY_WINDOW} names no program"))?;
    Ok([PathBuf::from(env!("CARGO_BIN_EXE_toppleknot")), PathBuf::from(empty)])
}

fn sizes(what: &str) -> Result<Row, String> {
    let size = |path: &Path| std::fs::metadata(path).map(|m| m.len() as f64 / 1e6).map_err(|e| e.to_string());
    let [own, empty] = programs()?;
    let (own_mb, empty_mb) = (size(&own)?, size(&empty)?);
    Ok(Row {
        what: what.to_owned(),
        here: format!("{own_mb:.1} MB"),
        against: format!("an empty window: {empty_mb:.1} MB"),
        ratio: format!("{:.2}", own_mb / empty_mb),
        aim: String::new(),
    })
}

fn starts(what: &str) -> Result<Row, String> {
    let [own, empty] = programs()?;
    let display = Display::open()?;
    let (mut owns, mut empties) = (Times::default(), Times::default());
    // The first start of each fills the caches of system and driver.
    for turn in 0..=STARTS {
        let (a, b) = (display.start(&own)?, display.start(&empty)?);
        if turn > 0 {
            owns.0.push(a.as_secs_f64());
            empties.0.push(b.as_secs_f64());
        }
    }
    let _ = std::fs::remove_dir_all(&display.folder);
    Ok(Row {
        what: what.to_owned(),
        here: time(owns.span()),
        against: format!("an empty window: {}", time(empties.span())),
        ratio: ratio(owns.over(&empties)),
        aim: "1.2 or less".to_owned(),
    })
}
