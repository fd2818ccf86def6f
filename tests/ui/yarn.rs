//! Yarn in the window: what is at hand, weighing in, another yarn; by the labels on screen.

use egui::accesskit::Role;
use egui::{Key, Modifiers, vec2};
use egui_kittest::kittest::Queryable;
use toppleknot::figure::Figure;
use toppleknot::measure::derive;
use toppleknot::measure::need::Enough;
use toppleknot::toy::records::Weight;
use toppleknot::ui::{Dialog, Settings, Start};

use super::screens::wrong;
use super::window::{Window, click, says, window_of, with_sample};

fn need(window: &Window) -> (Figure, Option<f64>, Option<Enough>) {
    let report = derive(&window.state().document().toy).report;
    let need = &report.yarn[0].stock;
    (need.need.grams, need.have_g, need.enough)
}

fn set(window: &mut Window, field: &str, value: f64) {
    window.get_by_role_and_label(Role::SpinButton, field).set_value_accesskit(value);
    window.run();
}

fn tick(window: &mut Window, field: &str) {
    window.get_by_role_and_label(Role::CheckBox, field).click_accesskit();
    window.run();
}

fn undo(window: &mut Window) {
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run();
}

fn type_in(window: &mut Window, field: &str, text: &str) {
    window.get_by_role_and_label(Role::TextInput, field).focus();
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window.run();
    window.event(egui::Event::Text(text.to_owned()));
    window.run();
}

fn weigh_in(window: &mut Window) {
    window.key_press_modifiers(Modifiers::COMMAND, Key::G);
    window.run();
    assert!(matches!(window.state().dialog(), Some(Dialog::WeighIn(_))));
}

fn another_yarn(window: &mut Window) {
    window.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Y);
    window.run();
    assert!(matches!(window.state().dialog(), Some(Dialog::AnotherYarn(_))));
}

#[test]
fn the_need_answers_what_is_said_of_a_ball_and_of_the_stock() {
    let (mut window, _) = with_sample("glass-float");
    click(&mut window, "Yarn");
    let estimate = need(&window).0;
    assert!(says(&window, "The toy needs"), "nothing is at hand yet");
    for (known, field, value) in [
        ("Grams of a ball is known", "Grams of a ball", 50.0),
        ("Metres of a ball is known", "Metres of a ball", 125.0),
        ("At hand is known", "At hand", 2.0),
    ] {
        tick(&mut window, known);
        set(&mut window, field, value);
    }
    let (with_label, have, enough) = need(&window);
    assert_eq!(have, Some(100.0), "two balls of 50 g");
    // 125 m in 50 g are 250 m in 100 g, the sample's own label says 200: the ball's counts from now on.
    assert_eq!(window.state().document().toy.yarns[0].metres_per_100g, None);
    assert!((with_label.value / estimate.value - 200.0 / 250.0).abs() < 1e-9, "{estimate:?} {with_label:?}");
    let word = match enough.expect("something is at hand") {
        Enough::Enough => "Enough: the toy needs",
        Enough::Close => "Close: the toy needs",
        Enough::Short => "Short: the toy needs",
    };
    assert!(says(&window, word));
    set(&mut window, "At hand", 0.05);
    assert_eq!(need(&window).2, Some(Enough::Short));
    assert!(says(&window, "Short: the toy needs") && says(&window, "It runs out in"));
}

#[test]
fn a_letter_is_shown_beside_its_hook() {
    let (mut window, _) = with_sample("glass-float");
    click(&mut window, "Yarn");
    if window.state().document().toy.yarns[0].hook_mm.is_none() {
        tick(&mut window, "Hook is known");
    }
    set(&mut window, "Hook", 3.5);
    assert_eq!(window.state().document().toy.yarns[0].hook_mm, Some(3.5));
    assert!(says(&window, "letter E"), "letter E is 3.5 mm (Craft Yarn Council, hook sizes)");
}

#[test]
fn a_disc_gives_the_gauge_and_is_named_as_its_source() {
    let (mut window, _) = with_sample("glass-float");
    click(&mut window, "Yarn");
    for field in ["Stitches in 10 cm is known", "Rounds in 10 cm is known"] {
        let yarn = &window.state().document().toy.yarns[0];
        let known = if field.starts_with("St") { yarn.stitches_per_10cm } else { yarn.rounds_per_10cm };
        if known.is_some() {
            tick(&mut window, field);
        }
    }
    click(&mut window, "More about this yarn");
    assert_eq!(wrong(&window), Vec::<String>::new(), "unfolded");
    tick(&mut window, "Gauge from a flat disc");
    set(&mut window, "Across the disc", 60.0);
    let width = derive(&window.state().document().toy).report.yarn[0].w_mm.value();
    // Circumference over stitches: pi times 60 mm over 36.
    assert!((width - std::f64::consts::PI * 60.0 / 36.0).abs() < 1e-9, "{width}");
    assert!(says(&window, "from the disc"));
    assert!(says(&window, "Your hand is in what you measured"), "the hand is no longer asked");
    tick(&mut window, "Gauge from a finished ball");
    type_in(&mut window, "Counts of the ball by round", "6 12 x");
    assert!(says(&window, "\"x\" is no count of stitches"));
    assert_eq!(wrong(&window), Vec::<String>::new(), "with a disc and a ball");
}

#[test]
fn a_new_name_is_followed_by_the_weigh_ins() {
    // The body is worked in the second yarn, and a weigh-in speaks of it while an head in the first is in hand.
    let (mut window, _) = with_sample("shop-window-hare");
    window.key_press_modifiers(Modifiers::COMMAND, Key::ArrowDown);
    window.run();
    weigh_in(&mut window);
    window.get_by_role_and_label(Role::ComboBox, "Yarn weighed").click();
    window.run();
    click(&mut window, "Plum");
    type_in(&mut window, "Grams used", "12");
    click(&mut window, "Take it in");
    assert_eq!(window.state().document().toy.records.weigh_ins[0].yarn, "Plum");
    window.key_press_modifiers(Modifiers::COMMAND, Key::ArrowUp);
    window.run();
    click(&mut window, "Yarn");
    type_in(&mut window, "Name of the yarn", "Harbour blue");
    let toy = &window.state().document().toy;
    assert!(toy.yarns.iter().any(|y| y.name == "Harbour blue") && toy.pieces[0].part.yarn == "Harbour blue");
    assert_eq!(toy.records.weigh_ins[0].yarn, "Harbour blue");
}

#[test]
fn a_weigh_in_narrows_the_need_and_undo_takes_it_back() {
    let (mut window, _) = with_sample("glass-float");
    let before = window.state().document().clone();
    let (wide, ..) = need(&window);
    weigh_in(&mut window);
    // The whole toy, close to what was expected.
    type_in(&mut window, "Grams used", &format!("{:.1}", wide.value * 1.05));
    assert!(says(&window, "the toy needs") && says(&window, " instead of "), "told before it is taken in");
    assert_eq!(*window.state().document(), before, "nothing is taken in yet");
    click(&mut window, "Take it in");
    assert_eq!(window.state().document().toy.records.weigh_ins.len(), 1);
    let (narrow, ..) = need(&window);
    assert!(narrow.high - narrow.low < wide.high - wide.low, "{wide:?} {narrow:?}");
    undo(&mut window);
    assert_eq!(*window.state().document(), before);
    window.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    window.run();
    // Taken out again from the list, which stays open.
    weigh_in(&mut window);
    let line = super::window::words(&window).into_iter().find(|w| w.starts_with("Remove: After round"));
    click(&mut window, &line.expect("the weigh-in is listed"));
    assert!(window.state().dialog().is_some());
    assert_eq!(*window.state().document(), before);
}

#[test]
fn bad_figures_give_plain_errors() {
    let (mut window, _) = with_sample("glass-float");
    let before = window.state().document().clone();
    weigh_in(&mut window);
    for (typed, said) in [("abc", "\"abc\" is no number"), ("-5", "-5 cannot be right"), ("0", "must be above 0")] {
        type_in(&mut window, "Grams used", typed);
        assert!(says(&window, said), "{typed}");
        window.key_press(Key::Enter);
        window.run();
        assert_eq!(*window.state().document(), before, "{typed}");
    }
}

#[test]
fn a_part_and_a_circumference_are_taken_in() {
    let (mut window, _) = with_sample("glass-float");
    weigh_in(&mut window);
    click(&mut window, "A finished part");
    type_in(&mut window, "Grams of the part", "20,5");
    click(&mut window, "Take it in");
    weigh_in(&mut window);
    click(&mut window, "Around a round");
    set(&mut window, "Around round", 6.0);
    type_in(&mut window, "Millimetres around", "150");
    click(&mut window, "Take it in");
    let records = &window.state().document().toy.records;
    assert_eq!((records.parts.len(), records.around.len()), (1, 1));
    assert_eq!((records.parts[0].grams, records.around[0].round), (20.5, 6));
}

#[test]
fn another_yarn_is_shown_beside_and_taken_over_as_one_step() {
    let (mut window, _) = with_sample("shop-window-hare");
    let before = window.state().document().clone();
    another_yarn(&mut window);
    assert!(says(&window, "Tall") && says(&window, "Now") && says(&window, "Then"));
    click(&mut window, "Same size");
    type_in(&mut window, "Name of the new yarn", "Fine grey");
    tick(&mut window, "Hook is known");
    set(&mut window, "Hook", 2.0);
    assert_eq!(*window.state().document(), before, "nothing is taken over yet");
    click(&mut window, "Take this toy");
    let toy = &window.state().document().toy;
    assert!(toy.yarns.iter().any(|y| y.name == "Fine grey"));
    let rounds = |toy: &toppleknot::toy::Toy| toy.pieces.iter().map(|p| p.part.rounds.len()).sum::<usize>();
    assert!(rounds(toy) > rounds(&before.toy), "a finer yarn takes more rounds");
    let tall = |toy| derive(toy).report.toy.size_mm.expect("placed").z.value;
    let (was, is) = (tall(&before.toy), tall(toy));
    assert!((is / was - 1.0).abs() < 0.1, "{was} {is}");
    undo(&mut window);
    assert_eq!(*window.state().document(), before);
}

#[test]
fn as_large_as_the_yarn_allows_asks_for_the_yarn_first() {
    let (mut window, _) = with_sample("glass-float");
    another_yarn(&mut window);
    click(&mut window, "As large as the yarn allows");
    let said = window.state().document().toy.yarns[0].stock.have_g.is_some();
    assert_eq!(says(&window, "Nothing says how much yarn is at hand"), !said);
    window.key_press(Key::Escape);
    window.run();
    click(&mut window, "Yarn");
    tick(&mut window, "At hand is known");
    let plenty = need(&window).0.high * 4.0;
    set(&mut window, "At hand", plenty);
    another_yarn(&mut window);
    click(&mut window, "As large as the yarn allows");
    assert!(says(&window, "times as large as now"), "{:?}", super::window::words(&window));
    click(&mut window, "Take this toy");
    let (grams, have, enough) = need(&window);
    assert_eq!(enough, Some(Enough::Enough), "{grams:?} of {have:?}");
}

/// An inch is 25.4 mm, an ounce 28.349 523 125 g (international yard and pound agreement, 1959).
#[test]
fn weights_and_lengths_are_typed_in_the_maker_s_units() {
    let settings = Settings { imperial: true, ..Settings::default() };
    let (mut window, _) = window_of(vec2(1360.0, 900.0), settings);
    window.state_mut().start(Start { path: Some(super::window::copy_of("glass-float")), text: None });
    window.run();
    click(&mut window, "Yarn");
    if window.state().document().toy.yarns[0].stock.ball_g.is_none() {
        tick(&mut window, "Ounces of a ball is known");
    }
    set(&mut window, "Ounces of a ball", 1.75);
    let grams = window.state().document().toy.yarns[0].stock.ball_g.expect("it is known");
    assert!((grams - 1.75 * 28.349_523_125).abs() < 1e-9, "{grams}");
    // A hook stays in mm: that is what is printed on it.
    if window.state().document().toy.yarns[0].hook_mm.is_none() {
        tick(&mut window, "Hook is known");
    }
    set(&mut window, "Hook", 3.5);
    assert_eq!(window.state().document().toy.yarns[0].hook_mm, Some(3.5));
    click(&mut window, "More about this yarn");
    tick(&mut window, "Gauge from a flat disc");
    set(&mut window, "Across the disc", 2.5);
    let disc = window.state().document().toy.yarns[0].trials.disc.expect("a disc");
    assert!((disc.diameter_mm - 63.5).abs() < 1e-9, "{}", disc.diameter_mm);
    weigh_in(&mut window);
    let begins = window.state().document().toy.records.weigh_ins.len();
    type_in(&mut window, "Ounces used", "1/2");
    click(&mut window, "Take it in");
    let used = window.state().document().toy.records.weigh_ins.clone();
    assert_eq!(used.len(), begins + 1);
    let Some(Weight::Used(grams)) = used.last().map(|w| w.weight) else { panic!("{used:?}") };
    assert!((grams - 14.174_761_562_5).abs() < 1e-9, "{grams}");
    weigh_in(&mut window);
    type_in(&mut window, "Ounces used", "20 g");
    assert!(!says(&window, "is no number"));
    type_in(&mut window, "Ounces used", "20 cm");
    assert!(says(&window, "\"20 cm\" is no number"));
    assert_eq!(wrong(&window), Vec::<String>::new(), "in ounces");
}
