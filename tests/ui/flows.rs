//! What a maker does, driven by the labels on screen.

use egui::{Key, Modifiers, PointerButton, pos2};
use egui_kittest::kittest::{NodeT, Queryable};
use toppleknot::document;
use toppleknot::rounds::Round;
use toppleknot::ui::Start;

use super::window::{Window, click, folder, sample, says, window, with_sample, words};

fn counts(window: &Window, part: usize) -> Vec<u32> {
    window.state().document().toy.pieces[part].part.rounds.iter().map(Round::count).collect()
}

/// Everything a card about size, standing or neck says.
fn verdicts(window: &Window) -> Vec<String> {
    words(window).into_iter().filter(|w| ["tall", "leans", "bears", "weighs"].iter().any(|k| w.contains(k))).collect()
}

fn set_count(window: &mut Window, round: usize, count: u32) {
    window.get_by_label(&format!("Stitches in round {round}")).set_value_accesskit(f64::from(count));
    window.run();
}

#[test]
fn an_edited_count_changes_shape_and_verdicts_in_the_same_frame() {
    let (mut window, _) = with_sample("puppet-booth-crier");
    let before = verdicts(&window);
    assert!(before.len() >= 3, "{before:?}");
    window.get_by_label("Stitches in round 6").set_value_accesskit(50.0);
    // One frame takes the change in and shows what follows from it.
    window.step();
    assert_eq!(counts(&window, 0)[5], 50);
    assert_ne!(verdicts(&window), before);
}

#[test]
fn a_bar_is_dragged() {
    let (mut window, _) = with_sample("glass-float");
    let chart = window.get_by_label("Counts by round").rect();
    let before = counts(&window, 0);
    // The left edge of the chart is the first round; its middle height is some other count.
    let from = pos2(chart.left() + 9.0, chart.bottom() - 8.0);
    let to = pos2(from.x, chart.center().y);
    window.hover_at(from);
    window.step();
    window.event(egui::Event::PointerButton {
        pos: from,
        button: PointerButton::Primary,
        pressed: true,
        modifiers: Modifiers::NONE,
    });
    window.step();
    for share in [0.3, 0.6, 1.0] {
        window.hover_at(from + (to - from) * share);
        window.step();
    }
    window.event(egui::Event::PointerButton {
        pos: to,
        button: PointerButton::Primary,
        pressed: false,
        modifiers: Modifiers::NONE,
    });
    window.run();
    let after = counts(&window, 0);
    assert!(after[0] > before[0], "{before:?} {after:?}");
    assert_eq!(after[1..], before[1..], "only that round changes");
    assert_eq!(window.state().chosen(), Some((0, Some(0))));
    // The whole drag is one step.
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run();
    assert_eq!(counts(&window, 0), before);
}

#[test]
fn a_finding_leads_to_its_round() {
    let (mut window, _) = window();
    // Eighteen stitches at the end of a closed ball cannot be drawn shut; sixty in one round ruffle.
    window.state_mut().start(Start { path: None, text: Some("6 12 18 60 60 18 12 6".to_owned()) });
    window.run();
    let label = words(&window)
        .into_iter()
        .find(|w| w.starts_with("Show ") && w.contains("round"))
        .expect("a finding about a round");
    click(&mut window, &label);
    let (_, round) = window.state().chosen().expect("something is chosen");
    let round = round.expect("a round is chosen");
    assert!(label.contains(&format!("round {}", round + 1)), "{label}: {round}");
}

#[test]
fn undoing_all_and_redoing_all_lead_to_the_same_toys() {
    let (mut window, _) = with_sample("shop-window-hare");
    let first = window.state().document().clone();
    set_count(&mut window, 4, 30);
    set_count(&mut window, 4, 31);
    set_count(&mut window, 5, 33);
    for label in ["Add part", "Copy part", "Remove part"] {
        click(&mut window, label);
    }
    click(&mut window, "Stuffing");
    click(&mut window, "Leave the last rounds empty");
    let last = window.state().document().clone();
    assert_ne!(first, last);
    let mut undone = 0;
    while window.state().is_changed() && undone < 50 {
        window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
        window.run();
        undone += 1;
    }
    assert_eq!(*window.state().document(), first);
    // Two counts of one round in a row are one step.
    assert_eq!(undone, 6);
    for _ in 0..undone {
        window.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
        window.run();
    }
    assert_eq!(*window.state().document(), last);
}

#[test]
fn a_toy_is_opened_changed_and_saved_through_the_dialogs() {
    let folder = folder("saved");
    let (mut window, told) = window();
    *told.lock().expect("the answer") = Some(sample("glass-float"));
    click(&mut window, "Open…");
    window.run();
    assert_eq!(window.state().path(), Some(sample("glass-float").as_path()));
    set_count(&mut window, 3, 20);
    assert!(window.state().is_changed());
    let path = folder.join("mine");
    *told.lock().expect("the answer") = Some(path.clone());
    window.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
    window.run();
    assert!(!window.state().is_changed());
    let saved = document::load(&path.with_extension("toy.ron")).expect("it was saved");
    assert_eq!(saved, *window.state().document());
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn unsaved_changes_are_asked_about() {
    let (mut window, told) = with_sample("glass-float");
    set_count(&mut window, 3, 20);
    let changed = window.state().document().clone();
    window.key_press_modifiers(Modifiers::COMMAND, Key::N);
    window.run();
    assert!(says(&window, "This toy is not saved"));
    click(&mut window, "Keep working");
    assert_eq!(*window.state().document(), changed);
    window.key_press_modifiers(Modifiers::COMMAND, Key::N);
    window.run();
    *told.lock().expect("the answer") = None;
    click(&mut window, "Drop the changes");
    assert!(window.state().document().toy.pieces.is_empty());
    assert!(says(&window, "Paste a pattern"));
}

#[test]
fn a_path_can_be_written_where_there_is_no_dialog() {
    let (mut window, _) = window();
    window.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::O);
    window.run();
    window.get_by_label("Path of the file").focus();
    window.run();
    window.get_by_label("Path of the file").type_text(&sample("glass-float").display().to_string());
    window.run();
    click(&mut window, "Open");
    assert_eq!(window.state().document().toy.pieces.len(), 1);
    // A path that leads nowhere says so and changes nothing.
    window.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::O);
    window.run();
    window.get_by_label("Path of the file").focus();
    window.run();
    window.get_by_label("Path of the file").type_text("/nowhere/at/all.toy.ron");
    window.run();
    click(&mut window, "Open");
    assert!(says(&window, "cannot be read"));
    assert_eq!(window.state().document().toy.pieces.len(), 1);
}

#[test]
fn a_pasted_pattern_becomes_parts_and_a_verdict() {
    let (mut window, _) = window();
    window.get_by_label("Pattern text").focus();
    window.run();
    window
        .get_by_label("Pattern text")
        .type_text("Body\n6 12 18 24 30 30 30 30 24 18\n\nHead\n6 12 18 24 30 30 30 24 18\n");
    window.run();
    click(&mut window, "Read these rounds");
    let names: Vec<String> = window.state().document().toy.pieces.iter().map(|p| p.part.name.to_lowercase()).collect();
    assert_eq!(names, ["body", "head"]);
    assert!(window.state().is_changed(), "a pasted pattern is in no file");
    assert!(says(&window, "Does it stand?") && says(&window, "Does the neck hold?") && says(&window, "tall"));
}

#[test]
fn written_rounds_are_read_as_they_are_typed() {
    let (mut window, _) = with_sample("glass-float");
    click(&mut window, "Text");
    let field = "Written rounds of the part";
    window.get_by_label(field).focus();
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window.run();
    window.get_by_label(field).type_text("6 12 18 18 12 6");
    window.run();
    assert_eq!(counts(&window, 0), [6, 12, 18, 18, 12, 6]);
}

#[test]
fn what_is_shown_of_a_part_reads_back_as_the_same_part() {
    for name in ["glass-float", "shop-window-hare", "reed-heron", "sea-wall-bear"] {
        let (mut window, _) = with_sample(name);
        let before = counts(&window, 0);
        click(&mut window, "Text");
        window.get_by_label("Written rounds of the part").focus();
        window.run();
        window.key_press_modifiers(Modifiers::COMMAND, Key::End);
        window.get_by_label("Written rounds of the part").type_text("\n");
        window.run();
        assert_eq!(counts(&window, 0), before, "{name}");
    }
}

#[test]
fn what_was_not_saved_is_taken_up_after_a_crash() {
    let folder = folder("recovered");
    // What a run of the program that is gone left: no process has the highest number there is.
    let copy = folder.join(format!("unsaved-{}.toy.ron", u32::MAX));
    std::fs::copy(sample("glass-float"), &copy).expect("a copy");
    let (mut window, _) = window();
    window.state_mut().keep_in(None, Some(folder.clone()));
    window.run();
    click(&mut window, "Take it up");
    assert_eq!(*window.state().document(), document::load(&sample("glass-float")).expect("a sample"));
    assert!(window.state().is_changed(), "it is in no file of the maker's");
    assert!(copy.exists(), "nothing is lost before it is saved");
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn the_theme_is_switched() {
    let (mut window, _) = with_sample("glass-float");
    let dark = |window: &Window| window.ctx.theme() == egui::Theme::Dark;
    click(&mut window, "System theme");
    assert!(!dark(&window));
    click(&mut window, "Light theme");
    assert!(dark(&window) && says(&window, "Dark theme"));
}

#[test]
fn units_are_switched() {
    let (mut window, _) = with_sample("glass-float");
    assert!(says(&window, " mm"));
    window.key_press_modifiers(Modifiers::COMMAND, Key::U);
    window.run();
    assert!(
        verdicts(&window).iter().any(|w| w.contains(" in")) && verdicts(&window).iter().all(|w| !w.contains(" mm"))
    );
}

#[test]
fn a_click_on_the_toy_chooses_part_and_round() {
    let (mut window, _) = with_sample("puppet-booth-crier");
    let view = window.get_by_label("Front view of the toy").rect();
    let at = view.center();
    window.hover_at(at);
    window.step();
    for pressed in [true, false] {
        window.event(egui::Event::PointerButton {
            pos: at,
            button: PointerButton::Primary,
            pressed,
            modifiers: Modifiers::NONE,
        });
        window.step();
    }
    window.run();
    assert!(matches!(window.state().chosen(), Some((_, Some(_)))), "{:?}", window.state().chosen());
    let told = window.get_by_label("Front view of the toy").accesskit_node().value().unwrap_or_default();
    assert!(told.contains("chosen"), "{told}");
}

#[test]
fn the_chosen_part_is_pulled_over_the_one_it_sits_on() {
    use toppleknot::toy::Seat;
    let (mut window, _) = with_sample("puppet-booth-crier");
    let pieces = &window.state().document().toy.pieces;
    let arm = pieces
        .iter()
        .position(|p| p.placement.seat.part().is_some() && matches!(p.placement.seat, Seat::OnSurface { .. }));
    let arm = arm.expect("a part on the side of another");
    let name = pieces[arm].part.name.clone();
    let before = window.state().document().clone();
    let row = words(&window).into_iter().find(|w| w.starts_with(&format!("{name}: "))).expect("its row");
    click(&mut window, &row);
    let view = window.get_by_label("Front view of the toy").rect();
    // Somewhere in the view the arm lies on top: a click there chooses it.
    let mut spots = (2..16).flat_map(|i| (2..16).map(move |j| (i, j)));
    let from = spots.find_map(|(i, j)| {
        let at = view.min + egui::vec2(view.width() * i as f32 / 18.0, view.height() * j as f32 / 18.0);
        press_at(&mut window, at, true);
        press_at(&mut window, at, false);
        matches!(window.state().chosen(), Some((part, Some(_))) if part == arm).then_some(at)
    });
    let tip = from.expect("the arm is seen from the front");
    // By the middle of its length: at its tip the outline would be pulled. Clicks beside the toy choose nothing, so a
    // round further on is on the arm.
    let first = window.state().chosen().and_then(|c| c.1).expect("a round");
    let along = (1..40).map(|i| tip + egui::vec2(3.0 * i as f32, 0.0)).find(|at| {
        press_at(&mut window, *at, true);
        press_at(&mut window, *at, false);
        window.state().chosen().is_some_and(|(part, round)| part == arm && round.is_some_and(|r| r >= first + 3))
    });
    let from = along.expect("the arm is longer than its tip");
    press_at(&mut window, from, true);
    for step in 1..6 {
        window.hover_at(from + egui::vec2(0.0, -6.0 * step as f32));
        window.step();
    }
    assert!(says(&window, "round"));
    press_at(&mut window, from + egui::vec2(0.0, -30.0), false);
    window.run();
    let seat = |document: &document::Document| document.toy.pieces[arm].placement.seat.clone();
    assert_ne!(seat(window.state().document()), seat(&before));
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run();
    assert_eq!(seat(window.state().document()), seat(&before), "one pull is one step");
    assert_eq!(*window.state().document(), before, "nothing else changes");
}

fn press_at(window: &mut Window, at: egui::Pos2, pressed: bool) {
    window.hover_at(at);
    window.event(egui::Event::PointerButton {
        pos: at,
        button: PointerButton::Primary,
        pressed,
        modifiers: Modifiers::NONE,
    });
    window.step();
}
