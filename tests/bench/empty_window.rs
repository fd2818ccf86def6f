//! A window with nothing in it, against which the program's start is held: `sh tests/speed start`.

fn main() -> eframe::Result {
    let viewport = egui::ViewportBuilder::default().with_inner_size([1360.0, 860.0]);
    let options = eframe::NativeOptions { viewport, ..Default::default() };
    eframe::run_ui_native("empty", options, |ui, _| {
        egui::CentralPanel::default().show(ui, |ui| ui.label("Empty"));
    })
}
