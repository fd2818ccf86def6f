//! From start to first frame, and the size of the program, against an empty window of the same toolkit.
//!
//! Both programs are started in turns on a display of their own (Xvfb), whose picture is a file: the first frame is
//! there once most of the window's pixels have changed. With no display to be had it says so and measures nothing.
//!
//! `cargo bench --bench start`

use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// Starts of each program.
const STARTS: usize = 10;
/// The window of both, in pixels.
const SIZE: [usize; 2] = [1360, 860];
/// Longer than any start.
const TOO_LONG: Duration = Duration::from_secs(20);

fn main() {
    match std::env::args().nth(1).as_deref() {
        Some("empty") => empty_window(),
        _ => {
            if let Err(why) = compare() {
                println!("not measured: {why}");
            }
        }
    }
}

/// A window with nothing in it.
fn empty_window() {
    let viewport = egui::ViewportBuilder::default().with_inner_size(SIZE.map(|side| side as f32));
    let options = eframe::NativeOptions { viewport, ..Default::default() };
    let show = |ui: &mut egui::Ui, _: &mut eframe::Frame| {
        egui::CentralPanel::default().show(ui, |ui| ui.label("Empty"));
    };
    if let Err(why) = eframe::run_ui_native("empty", options, show) {
        eprintln!("{why}");
    }
}

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
    fn start(&self, program: &Path, arguments: &[&str]) -> Result<Duration, String> {
        let bare = self.picture().ok_or("the display is gone")?;
        let begun = Instant::now();
        let child = Command::new(program)
            .args(arguments)
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

fn compare() -> Result<(), String> {
    let own = PathBuf::from(env!("CARGO_BIN_EXE_toppleknot"));
    let empty = std::env::current_exe().map_err(|e| e.to_string())?;
    let size = |path: &Path| std::fs::metadata(path).map(|m| m.len() as f64 / 1e6).map_err(|e| e.to_string());
    let (own_mb, empty_mb) = (size(&own)?, size(&empty)?);
    println!("program {own_mb:.1} MB, empty window {empty_mb:.1} MB: {:.2} times", own_mb / empty_mb);
    let display = Display::open()?;
    let (mut owns, mut empties) = (Vec::new(), Vec::new());
    // The first start of each fills the caches of system and driver.
    for round in 0..=STARTS {
        let (a, b) = (display.start(&own, &[])?, display.start(&empty, &["empty"])?);
        if round > 0 {
            owns.push(a.as_secs_f64() * 1000.0);
            empties.push(b.as_secs_f64() * 1000.0);
        }
    }
    let median = |times: &mut Vec<f64>| {
        times.sort_by(f64::total_cmp);
        (times[(times.len() - 1) / 2] + times[times.len() / 2]) / 2.0
    };
    let (own_ms, empty_ms) = (median(&mut owns), median(&mut empties));
    println!(
        "start to first frame, medians of {STARTS}: {own_ms:.0} ms, empty window {empty_ms:.0} ms: {:.2} times",
        own_ms / empty_ms
    );
    println!("fastest: {:.0} ms, empty window {:.0} ms", owns[0], empties[0]);
    let _ = std::fs::remove_dir_all(&display.folder);
    Ok(())
}
