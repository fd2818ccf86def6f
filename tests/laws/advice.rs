//! What holds for every suggestion: it is worked out in full, harmless, within the limits and in order; and no step of
//! its family that changes less would do.

use proptest::prelude::*;
use toppleknot::advise::mend::change::change;
use toppleknot::advise::mend::families::{Context, ladders};
use toppleknot::advise::mend::{Advice, Family, Limits, LockedRounds, Shown, Targets, advise};
use toppleknot::document::{Document, TextScene, edits, open_text, samples, to_text};
use toppleknot::measure::{FindingKind, Report, Severity, derive, derive_again, glance};
use toppleknot::part::{Amount, End, Part, Stuffing};
use toppleknot::rounds::{Finish, rounds_of_counts};
use toppleknot::toy::{Address, Copies, Joint, Piece, Placement, Seat, Toy};

use super::narrow::sample;
use super::seams;

fn severe(report: &Report) -> Vec<(FindingKind, Option<String>)> {
    let severe = report.findings.iter().filter(|f| f.severity == Severity::Severe);
    severe.map(|f| (f.kind, f.part.clone())).collect()
}

fn stands_kind(kind: FindingKind) -> bool {
    matches!(kind, FindingKind::HeadHeavy | FindingKind::TipsEasily | FindingKind::Rocks)
}

/// The toy as its file gives it back, opened as the program opens it.
fn through_a_file(toy: &Toy) -> Toy {
    let text = to_text(&Document { toy: toy.clone() });
    open_text(&text, "changed", true, &TextScene::default()).unwrap_or_else(|e| panic!("{e}")).document.toy
}

/// Everything that must hold of an advice whatever the toy.
fn holds(toy: &Toy, limits: &Limits, advice: &Advice) {
    let before = derive(toy).report;
    assert_eq!(advice.before, Shown::of(&before));
    let was = severe(&before);
    for problem in &advice.problems {
        let points: Vec<f64> = problem.suggestions.iter().map(|s| s.change.points).collect();
        assert!(points.is_sorted(), "{}: {points:?}", problem.what);
        assert!(problem.nothing.is_none() || problem.suggestions.is_empty());
        for suggestion in &problem.suggestions {
            let changed = through_a_file(&suggestion.changed);
            assert_eq!(changed, suggestion.changed, "{:?}", suggestion.words);
            let fresh = derive(&changed);
            let report = &fresh.report;
            assert_eq!(Shown::of(report), suggestion.after, "{:?}", suggestion.words);
            let look = glance(toy, &Default::default());
            assert_eq!(change(toy, &look, &changed, &fresh.made), suggestion.change, "{:?}", suggestion.words);
            for (kind, part) in severe(report) {
                let known = was
                    .iter()
                    .any(|(k, p)| (*k == kind && *p == part) || (stands_kind(*k) && stands_kind(kind) && *p == part));
                assert!(known, "{:?} brings a severe {}", suggestion.words, kind.word());
            }
            if let Some(finding) = &problem.finding {
                let left = severe(report).iter().any(|(k, p)| {
                    *p == finding.part && (*k == finding.kind || (stands_kind(*k) && stands_kind(finding.kind)))
                });
                assert!(!left, "{:?} leaves it: {}", suggestion.words, finding.message);
            }
            for name in &limits.locked_parts {
                let part = |toy: &Toy| toy.piece_named(name).map(|i| toy.pieces[i].part.clone());
                assert_eq!(part(toy), part(&changed), "{:?} changes {name}", suggestion.words);
            }
            for locked in &limits.locked_rounds {
                let rounds = |toy: &Toy| toy.piece_named(&locked.part).map(|i| toy.pieces[i].part.rounds.clone());
                let (Some(old), Some(new)) = (rounds(toy), rounds(&changed)) else { panic!("the part is there") };
                let kept = &old[locked.from as usize - 1..locked.to as usize];
                assert!(new.windows(kept.len()).any(|w| w == kept), "{:?}", suggestion.words);
            }
            assert!(limits.max_stitches_changed.is_none_or(|most| suggestion.change.stitches <= most));
            for round in changed.pieces.iter().flat_map(|p| p.part.rounds.windows(2)) {
                assert_eq!(round[0].count(), round[1].uses(), "{:?}", suggestion.words);
            }
            assert!(suggestion.words.iter().all(|w| w.ends_with('.')), "{:?}", suggestion.words);
        }
    }
}

fn advice(toy: &Toy, limits: &Limits, targets: &Targets) -> Advice {
    let advice = advise(toy, limits, targets, &mut |_| true);
    assert!(advice.complete);
    holds(toy, limits, &advice);
    advice
}

#[test]
fn every_sample_is_mended_or_told_that_nothing_does() {
    for sample in samples() {
        let toy = open_text(sample.text, sample.title, true, &TextScene::default()).expect("a sample").document.toy;
        let wrong = severe(&derive(&toy).report).len();
        let advice = advice(&toy, &Limits::default(), &Targets::default());
        assert_eq!(advice.problems.is_empty(), wrong == 0, "{}", sample.title);
        for problem in &advice.problems {
            assert!(problem.suggestions.is_empty() == problem.nothing.is_some(), "{}", sample.title);
            assert!(!problem.suggestions.is_empty(), "{}: the samples can all be mended", sample.title);
        }
    }
}

#[test]
fn the_crier_can_be_mended_without_touching_its_base() {
    let bases = [Family::FlatBase, Family::BaseDisc, Family::BackLoopEdge];
    let limits = Limits { without: bases.iter().map(|f| f.word().to_owned()).collect(), ..Limits::default() };
    let advice = advice(&sample("Puppet-booth crier"), &limits, &Targets::default());
    let problem = &advice.problems[0];
    assert!(!problem.suggestions.is_empty(), "{:?}", problem.nothing);
    for suggestion in &problem.suggestions {
        assert!(suggestion.families.iter().all(|f| !bases.contains(f)));
    }
}

#[test]
fn nothing_within_the_limits_is_said() {
    let toy = sample("Puppet-booth crier");
    let locked_parts = toy.pieces.iter().map(|p| p.part.name.clone()).collect();
    let limits = Limits { locked_parts, ..Limits::default() };
    let advice = advice(&toy, &limits, &Targets::default());
    assert!(advice.problems[0].suggestions.is_empty());
    assert!(advice.problems[0].nothing.as_deref().is_some_and(|n| n.starts_with("Nothing within these limits")));
}

#[test]
fn locks_and_limits_are_kept() {
    let toy = sample("Reed heron");
    let locks = [
        Limits { max_stitches_changed: Some(100), ..Limits::default() },
        Limits {
            locked_rounds: vec![LockedRounds { part: "Body and head".into(), from: 1, to: 17 }],
            ..Limits::default()
        },
    ];
    for limits in locks {
        advice(&toy, &limits, &Targets::default());
    }
    let bear = sample("Sea-wall bear");
    let limits = Limits { locked_parts: vec!["Head".into()], ..Limits::default() };
    let targets = Targets { head_to_body_max: Some(0.5), ..Targets::default() };
    assert!(!advice(&bear, &limits, &targets).problems[0].suggestions.is_empty());
}

#[test]
fn several_targets_are_met_at_once() {
    let toy = sample("Sea-wall bear");
    let targets = Targets {
        height_mm: Some(180.0),
        head_to_body_max: Some(0.6),
        tip_deg_min: Some(15.0),
        at_most_g_of_yarn: Some(80.0),
        ..Targets::default()
    };
    let advice = advice(&toy, &Limits::default(), &targets);
    let suggestions = &advice.problems[0].suggestions;
    assert!(!suggestions.is_empty());
    for s in suggestions {
        // To a hundredth, or half a round of this yarn (about 5 mm high).
        assert!((s.after.height_mm.expect("a height") - 180.0).abs() <= 2.6, "{:?}", s.words);
        assert!(s.after.head_to_body.expect("a head") <= 0.6 && s.after.tip_deg.expect("it stands") >= 15.0);
        assert!(s.after.yarn_g <= 80.0);
    }
}

#[test]
fn a_stick_is_only_for_those_known_to_be_older() {
    let mut toy = sample("Reed heron");
    let sticks = |toy: &Toy| {
        let advice = advice(toy, &Limits::default(), &Targets::default());
        let any = advice.problems.iter().flat_map(|p| &p.suggestions).any(|s| s.families.contains(&Family::NeckStick));
        (any, advice.cautions.iter().any(|c| c.contains("stick")))
    };
    assert_eq!(sticks(&toy), (false, true));
    toy.settings.child_months = Some(24);
    assert_eq!(sticks(&toy), (false, true));
    toy.settings.child_months = Some(200);
    assert_eq!(sticks(&toy), (true, false));
}

#[test]
fn a_search_that_is_called_off_ends_with_what_it_has() {
    let toy = sample("Puppet-booth crier");
    let advice = advise(&toy, &Limits::default(), &Targets::default(), &mut |p| p.found.is_none());
    assert!(!advice.complete);
    assert_eq!(advice.problems[0].suggestions.len(), 1);
    holds(&toy, &Limits::default(), &advice);
}

/// Every step of every family tried, each worked out in full and by itself.
fn least_of_each_family(toy: &Toy, solved: &dyn Fn(&Report) -> bool) -> Vec<(Family, f64, String)> {
    let (limits, look) = (Limits::default(), glance(toy, &Default::default()));
    let was = severe(&derive(toy).report);
    let context = Context { toy, look: &look, limits: &limits, goals: &[] };
    let mut least: Vec<(Family, f64, String)> = Vec::new();
    for ladder in ladders(&context) {
        for step in 1..=ladder.steps() {
            let Some(changed) = ladder.apply(toy, step) else { continue };
            let derived = derive(&changed);
            let harmless = severe(&derived.report)
                .iter()
                .all(|(k, p)| was.iter().any(|(w, q)| p == q && (w == k || (stands_kind(*w) && stands_kind(*k)))));
            if !harmless || !solved(&derived.report) {
                continue;
            }
            let points = change(toy, &look, &changed, &derived.made).points;
            let words = ladder.words(toy, step, &changed);
            match least.iter_mut().find(|l| l.0 == ladder.family()) {
                Some(l) if l.1 <= points => {}
                Some(l) => *l = (ladder.family(), points, words),
                None => least.push((ladder.family(), points, words)),
            }
        }
    }
    least
}

#[test]
fn no_step_of_a_family_that_changes_less_would_do() {
    for title in ["Puppet-booth crier", "Reed heron"] {
        let toy = sample(title);
        let advice = advice(&toy, &Limits::default(), &Targets::default());
        let problem = &advice.problems[0];
        let least = least_of_each_family(&toy, &|report| severe(report).is_empty());
        assert!(!least.is_empty(), "{title}");
        for (family, points, words) in least {
            let own = problem.suggestions.iter().filter(|s| s.families == [family]).map(|s| s.change.points);
            let own = own.fold(f64::INFINITY, f64::min);
            assert!(own <= points + 1e-9, "{title}: {words} changes {points:.2}, the advice's own {own:.2}");
        }
    }
}

#[test]
fn no_single_round_changed_alone_mends_the_crier_for_less() {
    // Every round of every part more or less by up to six whole repeats: the advice's best changes no more.
    let toy = sample("Puppet-booth crier");
    let look = glance(&toy, &Default::default());
    let advice = advice(&toy, &Limits::default(), &Targets::default());
    let best = advice.problems[0].suggestions[0].change.points;
    let before = derive(&toy);
    let mut mends = 0;
    for part in 0..toy.pieces.len() {
        for round in 1..toy.pieces[part].part.rounds.len() {
            for by in (-36i64..=36).step_by(6).filter(|b| *b != 0) {
                let old = i64::from(toy.pieces[part].part.rounds[round].count());
                let Ok(count) = u32::try_from(old + by) else { continue };
                if count == 0 {
                    continue;
                }
                let mut changed = toy.clone();
                edits::set_count(&mut changed.pieces[part].part, round, count);
                let derived = derive_again(&changed, &before);
                if severe(&derived.report).is_empty() {
                    mends += 1;
                    let points = change(&toy, &look, &changed, &derived.made).points;
                    assert!(
                        points >= best,
                        "round {} of part {part} by {by}: {points:.2} against {best:.2}",
                        round + 1
                    );
                }
            }
        }
    }
    println!("{mends} single rounds mend it");
}

#[test]
fn a_pulled_down_toy_is_put_right_on_the_other_side() {
    // All that hangs on its left makes the seal lean; the advice must hold for lopsided toys as for others.
    let mut toy = sample("Sea-wall bear");
    toy.extras.push(toppleknot::toy::Extra {
        name: "Bucket of shells".into(),
        mass_g: 45.0,
        part: "Arm".into(),
        spot: toppleknot::toy::Spot::Inside { share: 0.1 },
        ..Default::default()
    });
    if let Some(arm) = toy.piece_named("Arm") {
        toy.pieces[arm].placement.copies = Copies::One;
    }
    let report = derive(&toy).report;
    let advice = advice(&toy, &Limits::default(), &Targets::default());
    assert_eq!(advice.problems.is_empty(), severe(&report).is_empty());
    assert!(!severe(&report).is_empty(), "a bucket on one arm pulls it over: {:?}", report.stand);
}

#[test]
fn rounds_that_do_not_fit_are_worked_anew() {
    let text = "Body\n6 12 18\n";
    let mut toy = open_text(text, "slip", false, &TextScene::default()).expect("counts").document.toy;
    // 24 stitches used where there are 18, and a round of none.
    let plain = toy.pieces[0].part.rounds[2].clone();
    let (even, closing) = (edits::respread(&plain, 24, 24, 0.0), edits::respread(&plain, 24, 12, 0.0));
    toy.pieces[0].part.rounds.extend([even, toppleknot::rounds::Round::default(), closing]);
    let wrong = severe(&derive(&toy).report);
    assert!(wrong.iter().any(|w| w.0 == FindingKind::EmptyRound), "{wrong:?}");
    let advice = advise(&toy, &Limits::default(), &Targets::default(), &mut |_| true);
    let rounds = advice.problems.iter().filter(|p| {
        p.finding.as_ref().is_some_and(|f| matches!(f.kind, FindingKind::EmptyRound | FindingKind::StitchesDiffer))
    });
    for problem in rounds {
        assert!(problem.suggestions.iter().any(|s| s.families.contains(&Family::Rounds)), "{}", problem.what);
    }
}

/// A toy of a body, a head and some limbs, of random counts.
fn toys() -> impl Strategy<Value = Toy> {
    let amount = || prop_oneof![Just(Amount::Light), Just(Amount::Medium), Just(Amount::Firm)];
    let part = (2u32..9, 1usize..9, 0u32..6, amount());
    let limb = (1u32..4, 1usize..9, 0.0f64..=1.0, -180.0f64..180.0, any::<bool>(), -40.0f64..40.0);
    (part.clone(), part, proptest::collection::vec(limb, 0..3)).prop_map(|(body, head, limbs)| {
        let made = |name: &str, (rise, even, fall, amount): (u32, usize, u32, Amount)| {
            let mut counts: Vec<u32> = (1..=rise).map(|i| 6 * i).collect();
            counts.extend(std::iter::repeat_n(6 * rise, even));
            counts.extend((1..=fall.min(rise - 1)).map(|i| 6 * (rise - i)));
            Part {
                name: name.to_owned(),
                rounds: rounds_of_counts(&counts).expect("counts above zero"),
                finish: Finish::Open,
                stuffing: Stuffing { amount, up_to_round: None },
                ..Part::default()
            }
        };
        let body = made("Body", body);
        let last = body.rounds.len() as f64;
        let floor = Placement {
            seat: Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 },
            joint: Joint::RimOnSurface,
            ..Placement::default()
        };
        let on_top = Placement {
            seat: Seat::OnEnd { part: "Body".into(), end: End::Finish },
            joint: Joint::RimToRim,
            ..Placement::default()
        };
        let mut pieces =
            vec![Piece { part: body, placement: floor }, Piece { part: made("Head", head), placement: on_top }];
        for (i, (rise, even, share, angle_deg, pair, nod_deg)) in limbs.into_iter().enumerate() {
            let part = made(&format!("Limb {i}"), (rise, even, 0, Amount::Medium));
            let at = Address { round: 1.0 + share * (last - 1.0), angle_deg };
            let placement = Placement {
                seat: Seat::OnSurface { part: "Body".into(), at },
                copies: if pair { Copies::MirroredPair } else { Copies::One },
                nod_deg,
                ..Placement::default()
            };
            pieces.push(Piece { part, placement });
        }
        let yarns = vec![toppleknot::yarn::Yarn::default()];
        Toy { name: "Any".into(), pieces, yarns, ..Toy::default() }
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]
    #[test]
    fn advice_for_any_toy_holds(toy in toys(), tip in proptest::option::of(4.0f64..40.0), lock in any::<bool>()) {
        let targets = Targets { tip_deg_min: tip, ..Targets::default() };
        let limits = Limits {
            locked_parts: if lock { vec!["Head".into()] } else { Vec::new() },
            ..Limits::default()
        };
        let advice = advice(&toy, &limits, &targets);
        let wrong = !severe(&derive(&toy).report).is_empty();
        prop_assert_eq!(advice.problems.is_empty(), !wrong && tip.is_none());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]
    #[test]
    fn a_toy_derived_again_is_the_toy_derived_anew(
        toy in toys(),
        edits in proptest::collection::vec((0usize..4, 0usize..5, 0usize..14, 1u32..60), 1..6),
    ) {
        let mut toy = toy;
        let mut derived = derive(&toy);
        for (what, part, round, number) in edits {
            let part = part % toy.pieces.len();
            match what {
                0 => edits::set_count(&mut toy.pieces[part].part, round, number),
                1 => edits::repeat(&mut toy.pieces[part].part, round, 1),
                2 => toy.pieces[part].placement.nod_deg = f64::from(number),
                _ if toy.pieces.len() > 2 => edits::remove_part(&mut toy, part),
                _ => toy.settings.density_g_per_l = Some(f64::from(number.max(12))),
            }
            let again = derive_again(&toy, &derived);
            let anew = derive(&toy);
            prop_assert_eq!(&again.report, &anew.report);
            prop_assert_eq!(format!("{:?}", again.made.masses), format!("{:?}", anew.made.masses));
            prop_assert_eq!(format!("{:?}", again.made.poses), format!("{:?}", anew.made.poses));
            derived = again;
        }
    }
}

/// Of two rims sewn to each other the narrower is widened, and the wider one stays until it is the narrower.
#[test]
fn a_neck_is_widened_where_it_is_narrow() {
    let mut body = seams::piece("Body", &seams::ball(12), Finish::Open, seams::on_floor());
    let on_body = Seat::OnEnd { part: "Body".into(), end: End::Finish };
    let mut head = seams::piece("Head", &seams::ball(30), Finish::Open, on_body);
    head.placement.joint = Joint::RimToRim;
    for part in [&mut body.part, &mut head.part] {
        part.stuffing.amount = Amount::Light;
    }
    let toy = seams::toy(vec![body, head]);
    let weak = |f: &FindingKind| *f == FindingKind::FloppyNeck;
    assert!(severe(&derive(&toy).report).iter().any(|(kind, _)| weak(kind)));
    let advice = advice(&toy, &Limits::default(), &Targets::default());
    let mut all = advice.problems.iter().flat_map(|p| &p.suggestions);
    let wider = all.find(|s| s.families == [Family::WiderNeck]).expect("a wider neck holds");
    assert!(wider.words[0].contains("opening of the Body"), "{:?}", wider.words);
    assert_eq!(wider.changed.pieces[1].part, toy.pieces[1].part);
    assert!(wider.changed.pieces[0].part.counts().last() > Some(&12));
}
