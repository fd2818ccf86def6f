//! The page about making and the tab about the work, by their labels.

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT, Queryable};
use toppleknot::ui::{App, Page, Settings, Start};

use super::screens::wrong;
use super::window::{Window, click, copy_of, says, window_of, with_sample, words};

/// A tall window with a sample in it and the page about making open, so that every card is on screen.
fn making(name: &str) -> Window {
    let settings = Settings { page: Page::Making, ..Settings::default() };
    let (mut window, _) = window_of(egui::vec2(1500.0, 3000.0), settings);
    window.state_mut().start(Start { path: Some(copy_of(name)), text: None });
    window.run();
    window
}

/// A small toy in one yarn, of which so many grams are at hand.
fn in_one_yarn(have_g: Option<f64>) -> Window {
    let text = "Body\n6 12 18 24 30 30 30 30 24 18\n\nHead\n6 12 18 24 30 30 30 24 18 12\n";
    let scene = toppleknot::document::TextScene::default();
    let mut opened = toppleknot::document::open_text(text, "two", false, &scene).expect("it reads");
    let toy = &mut opened.document.toy;
    toy.yarns = vec![toppleknot::yarn::Yarn { name: "Grey".to_owned(), ..Default::default() }];
    toy.yarns[0].stock.have_g = have_g;
    for piece in &mut toy.pieces {
        piece.part.yarn = "Grey".to_owned();
    }
    let folder = super::window::folder(&format!("making-{have_g:?}"));
    let file = folder.join("two.toy.ron");
    toppleknot::document::save(&opened.document, &file).expect("it is saved");
    let settings = Settings { page: Page::Making, ..Settings::default() };
    let (mut window, _) = window_of(egui::vec2(1500.0, 3000.0), settings);
    window.state_mut().start(Start { path: Some(file), text: None });
    window.run();
    window
}

fn type_in(window: &mut Window, field: &str, text: &str) {
    window.get_by_role_and_label(Role::TextInput, field).focus();
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window.run();
    window.get_by_role_and_label(Role::TextInput, field).type_text(text);
    window.run();
}

#[test]
fn the_page_is_told_whole() {
    for name in ["boot-room-imp", "sea-wall-bear", "puppet-booth-crier"] {
        let window = making(name);
        assert_eq!(wrong(&window), Vec::<String>::new(), "{name}");
        for question in ["Is there enough yarn?", "Does the stuffing show?", "Is there time?", "For which child?"] {
            assert!(says(&window, question), "{name}: {question}");
        }
    }
}

#[test]
fn yarn_is_enough_or_short_in_words() {
    let window = in_one_yarn(Some(500.0));
    assert!(window.query_by_label("Enough").is_some() && !says(&window, "runs out in"));
    let window = in_one_yarn(Some(6.0));
    assert!(window.query_by_label("Short").is_some());
    assert!(says(&window, "runs out in ") && says(&window, "at hand 6.0 g") && says(&window, "are missing"));
    let window = in_one_yarn(None);
    assert!(says(&window, "Needs ") && says(&window, "Say what is at hand of Grey"));
}

#[test]
fn what_is_at_hand_is_said_on_the_left() {
    let mut window = in_one_yarn(None);
    click(&mut window, "Say what is at hand of Grey");
    assert!(says(&window, "Worked in"));
}

#[test]
fn short_yarn_leads_from_the_first_page_here() {
    let mut window = in_one_yarn(Some(6.0));
    click(&mut window, "The toy");
    assert!(!says(&window, "Is there enough yarn?"));
    click(&mut window, "Grey will run short: see Making");
    assert_eq!(window.state().settings().page, Page::Making);
    assert!(says(&window, "Is there enough yarn?"));
}

#[test]
fn a_click_on_the_strip_chooses_its_round() {
    let mut window = in_one_yarn(Some(6.0));
    assert_eq!(window.state().chosen(), Some((0, None)));
    // Twenty rounds in all: the middle is between the last of the body and the first of the head.
    click(&mut window, "Grey along the rounds");
    let chosen = window.state().chosen();
    assert!(matches!(chosen, Some((0, Some(9)) | (1, Some(0)))), "{chosen:?}");
    // From there the arrows go on.
    window.key_press(Key::ArrowRight);
    window.run();
    assert!(matches!(window.state().chosen(), Some((1, Some(_)))), "{:?}", window.state().chosen());
    let strip = window.get_by_role_and_label(Role::Image, "Grey along the rounds");
    let value = strip.accesskit_node().value().unwrap_or_default();
    assert!(value.contains("round") && value.contains("g used by then"), "{value}");
}

#[test]
fn time_is_late_or_in_time_and_a_wrong_day_is_told() {
    let mut window = making("boot-room-imp");
    click(&mut window, "Hours a day are said");
    assert!(says(&window, "done on "));
    type_in(&mut window, "Wished for", "2001-02-03");
    assert_eq!(window.state().document().toy.plan.wished_day, Some(jiff::civil::date(2001, 2, 3)));
    assert!(window.query_by_label("Too late").is_some() && says(&window, "What would save time"));
    type_in(&mut window, "Wished for", "2199-01-01");
    assert!(window.query_by_label("In time").is_some());
    type_in(&mut window, "Wished for", "2199-02-30");
    assert_eq!(window.state().document().toy.plan.wished_day, Some(jiff::civil::date(2199, 1, 1)), "kept");
    window.get_by_role_and_label(Role::TextInput, "First day").focus();
    window.run();
    assert!(says(&window, "2199-02-30 is no day"));
}

fn hours_left(window: &Window) -> f64 {
    let line = words(window).into_iter().find(|w| w.ends_with(" left") && w.contains(" h")).expect("hours left");
    line.split(' ').next().and_then(|n| n.parse().ok()).unwrap_or_else(|| panic!("{line}"))
}

#[test]
fn progress_takes_from_the_hours_left_and_undo_gives_back() {
    let mut window = making("boot-room-imp");
    click(&mut window, "Work");
    let name = window.state().document().toy.pieces[0].part.name.clone();
    click(&mut window, "One round more of Leg 1");
    let one = hours_left(&window);
    click(&mut window, "Leg 1 is all made");
    let all = hours_left(&window);
    assert!(all < one, "{all} {one}");
    let toy = &window.state().document().toy;
    assert_eq!(toy.plan.rounds_made(&name, 0) as usize, toy.pieces[0].part.rounds.len());
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run();
    assert_eq!(hours_left(&window), one);
}

#[test]
fn the_chosen_round_is_what_it_is_made_up_to() {
    let mut window = making("boot-room-imp");
    click(&mut window, "Work");
    for _ in 0..4 {
        window.key_press_modifiers(Modifiers::COMMAND, Key::ArrowRight);
        window.run();
    }
    let name = window.state().document().toy.pieces[0].part.name.clone();
    let (_, round) = window.state().chosen().expect("a part");
    let round = round.expect("a round") + 1;
    click(&mut window, &format!("Leg 1 is made up to the chosen round {round}"));
    assert_eq!(window.state().document().toy.plan.rounds_made(&name, 0) as usize, round);
}

#[test]
fn cautions_go_by_the_age_of_the_child() {
    let mut window = making("boot-room-imp");
    let age = |window: &mut Window, word: &str| {
        window.get_by_role_and_label(Role::ComboBox, "Age of the child").click();
        window.run();
        click(window, word);
    };
    age(&mut window, "1 year");
    assert_eq!(window.state().document().toy.settings.child_months, Some(12));
    let young = window.state().document().clone();
    assert!(says(&window, "16 CFR") || says(&window, "EN 71"), "a standard is named");
    age(&mut window, "3 years");
    assert_ne!(young, *window.state().document());
    // Nothing here calls a toy safe, at any age.
    click(&mut window, "What was checked");
    for text in words(&window) {
        let text = text.to_lowercase();
        assert!(!text.split(|c: char| !c.is_alphabetic()).any(|word| word == "safe"), "{text}");
    }
}

#[test]
fn the_toy_is_shown_as_far_as_it_is_made_and_whole_again() {
    let mut window = making("boot-room-imp");
    click(&mut window, "Show the toy as far as made");
    assert!(window.state().settings().as_made);
    assert!(says(&window, "Nothing is made yet"));
    click(&mut window, "Work");
    click(&mut window, "Leg 1 is all made");
    assert!(says(&window, "This is the toy as far as it is made"));
    assert_eq!(wrong(&window), Vec::<String>::new());
    let before = window.state().document().clone();
    click(&mut window, "Show it whole");
    assert!(!window.state().settings().as_made && !says(&window, "as far as it is made."));
    assert_eq!(before, *window.state().document(), "the toy itself is whole all the while");
}

#[test]
fn the_work_of_every_part_is_told_with_its_steps() {
    let (mut window, _) = with_sample("sea-wall-bear");
    click(&mut window, "Work");
    assert!(App::panels().any(|p| p == "Work"));
    for _ in 0..window.state().document().toy.pieces.len() {
        assert!(says(&window, "How far it is made") && says(&window, "Steps in the work"));
        window.key_press_modifiers(Modifiers::COMMAND, Key::ArrowDown);
        window.run();
    }
    assert!(words(&window).iter().any(|w| w.contains("Sewing it to") || w.contains("leave it open")));
}

#[test]
fn a_watch_times_rounds_and_runs_no_faster_than_seconds() {
    let mut window = making("boot-room-imp");
    let name = window.state().document().toy.pieces[0].part.name.clone();
    click(&mut window, &format!("Start timing {name}"));
    window.step();
    let wait = window.output().viewport_output.values().map(|v| v.repaint_delay).min().expect("a window");
    assert!(wait > std::time::Duration::ZERO && wait <= std::time::Duration::from_millis(1100), "{wait:?}");
    click(&mut window, "Stop timing");
    let timed = window.state().document().toy.plan.timed.clone();
    assert_eq!((timed.len(), timed[0].part.as_str(), timed[0].from_round), (1, name.as_str(), Some(1)));
    assert!(timed[0].minutes > 0.0);
    window.step();
    let wait = window.output().viewport_output.values().map(|v| v.repaint_delay).min().expect("a window");
    assert!(wait > std::time::Duration::from_secs(3600), "it stands still: {wait:?}");
}
