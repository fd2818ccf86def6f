//! Opening the window.

use std::path::{Path, PathBuf};

use super::app::App;
use super::chooser::Chooser;
use super::places;
use super::settings::Settings;

/// What the window opens with.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Start {
    /// A file: a toy or written rounds.
    pub path: Option<PathBuf>,
    /// Written rounds themselves.
    pub text: Option<String>,
}

impl From<Option<&Path>> for Start {
    fn from(path: Option<&Path>) -> Self {
        Start { path: path.map(Path::to_owned), text: None }
    }
}

/// Why there is no window, in plain words.
#[derive(Debug, thiserror::Error)]
pub enum WindowError {
    /// There is nothing to show a window on.
    #[error("There is no display to open a window on ({0}).")]
    NoDisplay(String),
    /// There is nothing to draw with.
    #[error(
        "The window finds nothing to draw with: no graphics driver answers ({0}). On Debian the package mesa-vulkan-drivers has one."
    )]
    NoGraphics(String),
    /// Anything else.
    #[error("The window cannot be opened: {0}.")]
    Other(String),
}

/// Whether the system says where a window could be shown.
fn has_display() -> bool {
    if cfg!(not(target_os = "linux")) {
        return true;
    }
    ["WAYLAND_DISPLAY", "WAYLAND_SOCKET", "DISPLAY"]
        .iter()
        .any(|name| std::env::var_os(name).is_some_and(|v| !v.is_empty()))
}

/// Opens the window and returns when it is closed.
///
/// # Errors
/// When there is no display or no graphics driver; the error says so in plain words, and the caller can print the
/// report in its place.
pub fn run(start: impl Into<Start>) -> Result<(), WindowError> {
    let start = start.into();
    if !has_display() {
        return Err(WindowError::NoDisplay("neither DISPLAY nor WAYLAND_DISPLAY is set".to_owned()));
    }
    let file = places::settings_file();
    let settings = Settings::load(file.as_deref());
    let viewport = egui::ViewportBuilder::default()
        .with_title("Toppleknot")
        .with_app_id("toppleknot")
        .with_inner_size([1360.0, 860.0])
        .with_min_inner_size([760.0, 480.0]);
    // Where it cannot be read the window has the toolkit's own.
    let viewport = match eframe::icon_data::from_png_bytes(include_bytes!("../../assets/icon.png")) {
        Ok(icon) => viewport.with_icon(icon),
        Err(_) => viewport,
    };
    let options = eframe::NativeOptions { viewport, ..Default::default() };
    let create: eframe::AppCreator<'_> = Box::new(move |cc| {
        let mut app = App::new(&cc.egui_ctx, Chooser::of_system(), settings, true);
        app.draw_on_cleared_window();
        app.keep_in(file, places::recovery_folder());
        app.start(start);
        Ok(Box::new(app))
    });
    eframe::run_native("toppleknot", options, create).map_err(in_plain_words)
}

fn in_plain_words(error: eframe::Error) -> WindowError {
    let text = error.to_string();
    let first = text.lines().next().unwrap_or_default().trim_end_matches('.');
    // Where in its source the toolkit gave up says nothing to a maker.
    let short = if first.contains(".rs:") { first.rsplit(": ").next().unwrap_or(first) } else { first }.to_owned();
    match error {
        eframe::Error::Winit(_) | eframe::Error::WinitEventLoop(_) => WindowError::NoDisplay(short),
        eframe::Error::Wgpu(_) => WindowError::NoGraphics(short),
        _ => WindowError::Other(short),
    }
}
