//! A window that is not there: no display, no graphics driver, slow things at once, dialogs as functions.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

use egui::vec2;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use toppleknot::ui::{App, Chooser, Settings, Start};

/// What the file dialogs answer: set by a test before it asks.
pub type Told = Arc<Mutex<Option<PathBuf>>>;

pub type Window = Harness<'static, App>;

/// A window of this size and what its dialogs answer.
pub fn window_of(size: egui::Vec2, settings: Settings) -> (Window, Told) {
    let told = Told::default();
    let (for_open, for_save) = (Arc::clone(&told), Arc::clone(&told));
    let answer = |told: &Told| told.lock().ok().and_then(|t| t.clone());
    let chooser = Chooser::of(Box::new(move || answer(&for_open)), Box::new(move |_| answer(&for_save)));
    let harness = Harness::builder()
        .with_size(size)
        .with_max_steps(12)
        .build_eframe(move |cc| App::new(&cc.egui_ctx, chooser, settings, false));
    (harness, told)
}

/// A window that has a graphics adapter to draw with, and so a solid view.
pub fn drawn_window(size: egui::Vec2, settings: Settings) -> Window {
    let chooser = Chooser::of(Box::new(|| None), Box::new(|_| None));
    let app = move |cc: &mut eframe::CreationContext<'static>| App::new(&cc.egui_ctx, chooser, settings, false);
    Harness::builder().with_size(size).with_max_steps(12).wgpu().build_eframe(app)
}

/// The usual window.
pub fn window() -> (Window, Told) {
    window_of(vec2(1360.0, 900.0), Settings::default())
}

/// A sample's file.
pub fn sample(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(format!("{name}.toy.ron"))
}

/// A copy of a sample's file that a test may write over.
pub fn copy_of(name: &str) -> PathBuf {
    static NUMBER: AtomicUsize = AtomicUsize::new(0);
    let folder = std::env::temp_dir().join(format!("toppleknot-ui-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for the tests");
    let copy = folder.join(format!("{name}-{}.toy.ron", NUMBER.fetch_add(1, Ordering::Relaxed)));
    std::fs::copy(sample(name), &copy).expect("a copy of the sample");
    copy
}

/// The usual window with a copy of a sample in it.
pub fn with_sample(name: &str) -> (Window, Told) {
    let (mut window, told) = window();
    window.state_mut().start(Start { path: Some(copy_of(name)), text: None });
    window.run();
    (window, told)
}

/// Every text on screen.
pub fn words(window: &Window) -> Vec<String> {
    window
        .root()
        .query_all(egui_kittest::kittest::By::new())
        .flat_map(|node| {
            let node = node.accesskit_node();
            [node.label(), node.value()].into_iter().flatten().collect::<Vec<_>>()
        })
        .collect()
}

/// Whether a text is on screen that has this in it.
pub fn says(window: &Window, part: &str) -> bool {
    words(window).iter().any(|w| w.contains(part))
}

/// Clicks what has this label and lets the window settle.
pub fn click(window: &mut Window, label: &str) {
    window.get_by_label(label).click();
    window.run();
}

/// A folder of this test's own, emptied.
pub fn folder(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("toppleknot-{name}-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    folder
}

/// A file as it is dropped on the window.
#[derive(Debug)]
pub struct Dropped(pub PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        std::fs::read(&self.0).map_err(|e| e.to_string())
    }
}
