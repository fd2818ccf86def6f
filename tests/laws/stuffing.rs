//! Laws of the stuffed shape, on random lists of counts.

#[path = "../published/stuffing/oracle.rs"]
#[allow(dead_code)]
mod oracle;
#[path = "../published/stuffing/whole.rs"]
mod whole;

mod found;
mod long_run;
mod parts;

use oracle::Part;
use proptest::prelude::*;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::f64::consts::TAU;
use std::ops::{Range, RangeInclusive};
use toppleknot::stuffing::{Edge, Membrane, Rest, Solved, solve, solve_weighed, stuffed_volume_mm3};

/// Lists of counts.
#[derive(Clone, Copy, Debug)]
enum Kind {
    /// Grown and shrunk by a few stitches a round, with even runs, as toys are.
    Craft,
    /// Every round of any count.
    Uniform,
    /// Even runs with leaps between them.
    Steps,
    /// Doubled or more from round to round, then halved.
    Ruffles,
    /// Even but for single rounds far off.
    Spikes,
}

const KINDS: [Kind; 5] = [Kind::Craft, Kind::Uniform, Kind::Steps, Kind::Ruffles, Kind::Spikes];

/// One of these counts: each as likely, or, where they go beyond 200, half of the time each order of magnitude.
fn any_count(among: &RangeInclusive<u32>, dice: &mut ChaCha8Rng) -> u32 {
    let (low, high) = (f64::from(*among.start()), f64::from(*among.end()));
    if *among.end() > 200 && dice.random_bool(0.5) {
        (low * (high / low).powf(dice.random_range(0.0..1.0))).round() as u32
    } else {
        dice.random_range(among.clone())
    }
}

fn counts(kind: Kind, rounds: usize, among: RangeInclusive<u32>, dice: &mut ChaCha8Rng) -> Vec<u32> {
    let (low, high) = (*among.start(), *among.end());
    let mut list = Vec::with_capacity(rounds);
    let mut n = match kind {
        Kind::Craft => dice.random_range(low.max(4)..=12),
        _ => any_count(&among, dice),
    };
    let mut change = dice.random_range(0..=8);
    let mut run = dice.random_range(1..=10);
    for _ in 0..rounds {
        list.push(n.clamp(low, high));
        run -= 1;
        let turn = run <= 0;
        if turn {
            run = dice.random_range(1..=10);
        }
        match kind {
            Kind::Craft => {
                if turn {
                    change = [0, 0, 1, 2, 3, 6, 6, -1, -2, -3, -6, -6, 8, -8][dice.random_range(0..14)];
                }
                n = n.saturating_add_signed(change).clamp(low, high);
            }
            Kind::Uniform => n = any_count(&among, dice),
            Kind::Steps if turn => n = any_count(&among, dice),
            Kind::Steps => {}
            Kind::Ruffles if turn => n = (n / dice.random_range(1..=8)).max(low),
            Kind::Ruffles => n = (n * dice.random_range(1..=3)).min(high),
            Kind::Spikes => n = if dice.random_bool(0.15) { any_count(&among, dice) } else { list[0] },
        }
    }
    list
}

/// The part of a list: a magic ring, or a chain ring held or free; a last round gathered shut, held or free.
fn part(counts: &[u32], w: f64, h: f64, first: Edge, last: Edge, fill: impl Fn(usize) -> f64) -> Rest {
    part_of_rounds(counts, &vec![h; counts.len()], w, first, last, fill)
}

/// The same, each round with its own height.
fn part_of_rounds(
    counts: &[u32],
    heights: &[f64],
    w: f64,
    first: Edge,
    last: Edge,
    fill: impl Fn(usize) -> f64,
) -> Rest {
    let round = |n: u32| f64::from(n) * w / TAU;
    let mut radius: Vec<f64> = counts.iter().map(|n| round(*n)).collect();
    let mut link = heights[1..].to_vec();
    if first == Edge::Pole {
        radius.insert(0, 0.0);
        link.insert(0, heights[0]);
    }
    if last == Edge::Pole {
        link.push(radius[radius.len() - 1]);
        radius.push(0.0);
    }
    let fill = (0..link.len()).map(fill).collect();
    Rest::new(radius, link, fill, first, last).expect("counts above 0")
}

fn any_edge(dice: &mut ChaCha8Rng) -> Edge {
    [Edge::Pole, Edge::Pole, Edge::Held, Edge::Free][dice.random_range(0..4)]
}

fn as_oracle(rest: &Rest, membrane: &Membrane) -> Part {
    Part {
        radius: rest.radius_mm.clone(),
        link: rest.link_mm.clone(),
        pressure: rest.fill.iter().map(|f| f * membrane.load_per_mm).collect(),
        compression_share: membrane.compression_share,
        fixed: [rest.first != Edge::Free, rest.last != Edge::Free],
    }
}

/// What must hold of a solved part, or what does not.
fn fault(rest: &Rest, membrane: &Membrane, solved: &Solved) -> Option<String> {
    let finite = [&solved.radius_mm, &solved.rise_mm, &solved.z_mm, &solved.hoop, &solved.along]
        .into_iter()
        .flatten()
        .all(|x| x.is_finite());
    if !finite {
        return Some("a figure is not finite".into());
    }
    if !solved.converged {
        return Some(format!("no equilibrium after {} trials", solved.iterations));
    }
    if let Some(d) = solved.rise_mm.iter().find(|d| **d <= 0.0) {
        return Some(format!("a rise of {d}"));
    }
    if let Some(r) = solved.radius_mm[1..solved.radius_mm.len() - 1].iter().find(|r| **r <= 0.0) {
        return Some(format!("a radius of {r}"));
    }
    let off = imbalance(rest, membrane, solved);
    (off >= 1e-7).then(|| format!("forces off by {off} of p·π·R²"))
}

/// Forces left over at any node, by the oracle's own routine, at the load that was solved.
fn imbalance(rest: &Rest, membrane: &Membrane, solved: &Solved) -> f64 {
    let solved_at = Membrane { load_per_mm: solved.load_per_mm, ..*membrane };
    as_oracle(rest, &solved_at).imbalance(&solved.radius_mm, &solved.z_mm)
}

/// The `number`-th random part, always the same: 2 to 120 rounds of 3 to 200 stitches.
fn random_part(number: u64) -> (Kind, Vec<u32>, Rest, Membrane) {
    let dice = &mut ChaCha8Rng::seed_from_u64(number);
    let kind = KINDS[(number % 5) as usize];
    let rounds = dice.random_range(2..=120);
    let list = counts(kind, rounds, 3..=200, dice);
    let w = 10f64.powf(dice.random_range(-1.0..2.0));
    let h = w * dice.random_range(0.7..2.0);
    let (first, last) = (any_edge(dice), any_edge(dice));
    let empty = if dice.random_bool(0.2) { dice.random_range(0..rounds) } else { rounds + 9 };
    let rest = part(&list, w, h, first, last, |i| if i < empty { 1.0 } else { 0.05 });
    // From slack to the highest load that is solved, evenly on a scale of logarithms.
    let load = 10f64.powf(dice.random_range(-3.0..-0.603));
    let compression_share = [0.005, 0.02, 0.02, 0.1][dice.random_range(0..4)];
    let membrane = Membrane { load_per_mm: load / rest.loaded_radius_mm(), compression_share };
    (kind, list, rest, membrane)
}

/// What a run over many parts found.
#[derive(Default)]
struct Tally {
    /// Trials of each part that was solved at its own load.
    iterations: Vec<u32>,
    /// Trials of each whose load the fabric cannot hold.
    over: Vec<u32>,
    /// Largest imbalance.
    worst: f64,
    /// Parts off by more than 1e-7 that round-off keeps from being closer.
    at_round_off: u64,
}

impl Tally {
    fn add(&mut self, iterations: u32, overstuffed: bool, off: f64) {
        if overstuffed { &mut self.over } else { &mut self.iterations }.push(iterations);
        self.worst = self.worst.max(off);
        self.at_round_off += u64::from(off >= 1e-7);
    }

    /// Tries these numbers on every core.
    fn of(numbers: Range<u64>, try_one: impl Fn(u64, &mut Tally) + Sync) -> Tally {
        let lanes = std::thread::available_parallelism().map_or(2, usize::from) as u64;
        let try_lane = |lane: u64| {
            let mut tally = Tally::default();
            let numbers = numbers.start + lane..numbers.end;
            numbers.step_by(lanes as usize).for_each(|number| try_one(number, &mut tally));
            tally
        };
        let mut all = Tally::default();
        std::thread::scope(|scope| {
            let lanes: Vec<_> = (0..lanes).map(|lane| scope.spawn(move || try_lane(lane))).collect();
            for lane in lanes {
                all.take(lane.join().unwrap_or_else(|e| std::panic::resume_unwind(e)));
            }
        });
        all
    }

    fn take(&mut self, mut other: Tally) {
        self.iterations.append(&mut other.iterations);
        self.over.append(&mut other.over);
        self.worst = self.worst.max(other.worst);
        self.at_round_off += other.at_round_off;
        self.iterations.sort_unstable();
        self.over.sort_unstable();
    }

    fn share(&self, share: f64) -> u32 {
        self.iterations[((self.iterations.len() - 1) as f64 * share) as usize]
    }

    fn print(&self, what: &str) {
        let trials = [0.5, 0.99, 0.999, 1.0].map(|share| self.share(share));
        println!(
            "{what}: {} solved at their load, trials: median {}, 99 % {}, 99.9 % {}, most {}; {} at the most they hold, \
             trials at most {}; forces off by at most {:.1e} of p·π·R² ({} kept above 1e-7 by round-off)",
            self.iterations.len(),
            trials[0],
            trials[1],
            trials[2],
            trials[3],
            self.over.len(),
            self.over.last().unwrap_or(&0),
            self.worst,
            self.at_round_off,
        );
    }
}

/// Tries [`random_part`] number `number`.
fn try_random_part(number: u64, tally: &mut Tally) {
    let (kind, list, rest, membrane) = random_part(number);
    let solved = solve(&rest, &membrane);
    if let Some(fault) = fault(&rest, &membrane, &solved) {
        panic!("list {number}, {kind:?}: {fault}\n{list:?}\n{:?} to {:?}, {membrane:?}", rest.first, rest.last);
    }
    tally.add(solved.iterations, solved.overstuffed, imbalance(&rest, &membrane, &solved));
}

/// 100,000 random parts of five kinds: each has its equilibrium, and the forces summed by the oracle's own routine
/// balance at every node to 1e-7 of p·π·R². [`long_run`] has a million, and stranger ones.
#[test]
fn every_list_of_counts_has_an_equilibrium() {
    let tally = Tally::of(0..100_000, try_random_part);
    assert_eq!(tally.iterations.len() + tally.over.len(), 100_000);
    tally.print("lists of counts");
    let (median, most) = (tally.share(0.5), tally.share(1.0));
    assert!(median <= 20 && most <= 250, "the search has become slow: median {median}, most {most}");
}

/// Parts that toys are made of, ends and loads of every sort.
fn craft_parts() -> impl Strategy<Value = (Rest, Membrane)> {
    (any::<u64>(), 2usize..60, 0.7..1.4f64, -2.5..-0.7f64).prop_map(|(seed, rounds, h, log_load)| {
        let dice = &mut ChaCha8Rng::seed_from_u64(seed);
        let list = counts(Kind::Craft, rounds, 3..=200, dice);
        let rest = part(&list, 5.0, 5.0 * h, any_edge(dice), any_edge(dice), |_| 1.0);
        let membrane = Membrane::new(10f64.powf(log_load) / rest.loaded_radius_mm());
        (rest, membrane)
    })
}

fn height(solved: &Solved) -> f64 {
    solved.z_mm[solved.z_mm.len() - 1]
}

/// Largest difference of two rows of lengths.
fn apart(a: &[f64], b: impl IntoIterator<Item = f64>) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    /// Lengths times s at equal p·R/K: every length of the shape times s, volume times s³. Tolerance 1e-6 of the
    /// radius, for forces balanced to 1e-8 against fabric that resists gathering with 0.02.
    #[test]
    fn a_shape_scales((rest, membrane) in craft_parts(), log_scale in -6.0..6.0f64) {
        let scale = 10f64.powf(log_scale);
        let times = |list: &[f64]| list.iter().map(|x| x * scale).collect();
        let large = Rest { radius_mm: times(&rest.radius_mm), link_mm: times(&rest.link_mm), ..rest.clone() };
        let other = Membrane { load_per_mm: membrane.load_per_mm / scale, ..membrane };
        let (small, large_solved) = (solve(&rest, &membrane), solve(&large, &other));
        prop_assert!(small.converged && large_solved.converged);
        let close = 1e-6 * rest.loaded_radius_mm() * scale;
        prop_assert!(apart(&large_solved.radius_mm, small.radius_mm.iter().map(|x| x * scale)) < close);
        prop_assert!(apart(&large_solved.rise_mm, small.rise_mm.iter().map(|x| x * scale)) < close);
        let volumes = stuffed_volume_mm3(&large, &large_solved) / stuffed_volume_mm3(&rest, &small);
        prop_assert!((volumes / scale.powi(3) - 1.0).abs() < 1e-6);
    }

    /// A part turned upside down has its shape turned upside down.
    #[test]
    fn a_reversed_part_has_the_reversed_shape((rest, membrane) in craft_parts()) {
        let back = |list: &[f64]| list.iter().rev().copied().collect();
        let turned = Rest {
            radius_mm: back(&rest.radius_mm),
            link_mm: back(&rest.link_mm),
            fill: back(&rest.fill),
            first: rest.last,
            last: rest.first,
        };
        let (one, two) = (solve(&rest, &membrane), solve(&turned, &membrane));
        let close = 1e-6 * rest.loaded_radius_mm();
        prop_assert!(one.converged && two.converged);
        prop_assert!(apart(&one.radius_mm, two.radius_mm.iter().rev().copied()) < close);
        prop_assert!(apart(&one.rise_mm, two.rise_mm.iter().rev().copied()) < close);
    }

    /// More pressure: more volume, more height, and no waist (a node narrower than both its neighbours) thinner.
    #[test]
    fn firmer_is_larger((rest, membrane) in craft_parts(), more in 1.02..3.0f64) {
        let soft = solve(&rest, &membrane);
        let load_per_mm = (more * membrane.load_per_mm).min(0.25 / rest.loaded_radius_mm());
        let firm = solve(&rest, &Membrane { load_per_mm, ..membrane });
        prop_assert!(soft.converged && firm.converged);
        let round_off = 1e-7 * rest.loaded_radius_mm();
        prop_assert!(stuffed_volume_mm3(&rest, &firm) > stuffed_volume_mm3(&rest, &soft));
        prop_assert!(height(&firm) > height(&soft) - round_off);
        let (r, wide) = (&soft.radius_mm, &firm.radius_mm);
        for i in 1..r.len() - 1 {
            if r[i] < r[i - 1] && r[i] < r[i + 1] {
                prop_assert!(wide[i] >= r[i] - round_off, "node {}: {} to {}", i, r[i], wide[i]);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// A filling whose pressure falls with the third power of the volume, of any mass: its shape is in equilibrium
    /// with it, or says that it is slack or overstuffed, and then the filling would push less, or more.
    #[test]
    fn a_weighed_filling_finds_its_shape((rest, membrane) in craft_parts(), log_more in -2.0..2.0f64) {
        let volume = stuffed_volume_mm3(&rest, &solve(&rest, &membrane));
        let law = |v: f64| membrane.load_per_mm * (10f64.powf(log_more) * volume / v).powi(3);
        let found = solve_weighed(&rest, membrane.compression_share, law);
        prop_assert!(found.solved.converged);
        let at = Membrane { load_per_mm: found.solved.load_per_mm, ..membrane };
        prop_assert_eq!(fault(&rest, &at, &found.solved), None);
        let pushes = law(found.volume_mm3) * rest.loaded_radius_mm();
        if found.slack {
            prop_assert!(pushes < 1e-4 && (found.solved.load - 1e-4).abs() < 1e-12);
        } else if found.solved.overstuffed {
            prop_assert!(pushes > 0.25 && (found.solved.load - 0.25).abs() < 1e-12);
        } else {
            // Forces balanced to 1e-8 against fabric that resists gathering with 0.02 leave lengths open to 5e-7, and the
            // law has the ninth power of lengths.
            prop_assert!((pushes / found.solved.load - 1.0).abs() < 9.0 * 5e-7, "{} for {}", pushes, found.solved.load);
        }
    }
}

/// Odd parts at the edge of what can be given: tiny, huge, two nodes, ten thousand stitches, far too much stuffing.
#[test]
fn odd_parts_have_shapes_too() {
    let two = [Edge::Pole, Edge::Held, Edge::Free];
    for first in two {
        for last in two {
            for (r0, r1, link) in [(10.0, 10.0, 5.0), (10.0, 4.0, 5.0), (3.0, 60.0, 5.0), (1e-3, 1e3, 1.0)] {
                let r0 = if first == Edge::Pole { 0.0 } else { r0 };
                let r1 = if last == Edge::Pole { 0.0 } else { r1 };
                let rest = Rest::stuffed(vec![r0, r1], vec![link], first, last);
                if first == Edge::Pole && last == Edge::Pole {
                    assert!(rest.is_err(), "two poles hold nothing");
                    continue;
                }
                let rest = rest.expect("a single round");
                let membrane = Membrane::new(0.05 / rest.loaded_radius_mm());
                assert_eq!(fault(&rest, &membrane, &solve(&rest, &membrane)), None, "{rest:?}");
            }
        }
    }
    let wild = [3, 10_000, 3, 3, 3, 10_000, 10_000, 10_000, 40, 3, 7_000];
    for scale in [1e-6, 1.0, 1e6] {
        for load in [0.001, 0.03, 0.25] {
            let rest = part(&wild, scale, scale, Edge::Pole, Edge::Pole, |_| 1.0);
            let membrane = Membrane::new(load / rest.loaded_radius_mm());
            assert_eq!(fault(&rest, &membrane, &solve(&rest, &membrane)), None, "scale {scale}, load {load}");
        }
    }
    let cone: Vec<u32> = (1..1700).map(|i| 6 * i).collect();
    let rest = part(&cone, 5.0, 5.0, Edge::Pole, Edge::Held, |_| 1.0);
    let membrane = Membrane::new(0.03 / rest.loaded_radius_mm());
    assert_eq!(fault(&rest, &membrane, &solve(&rest, &membrane)), None, "ten thousand stitches");
}

/// Above the highest load a shape is solved there, and says so.
#[test]
fn too_much_stuffing_is_said_not_solved() {
    let rest = part(&[6, 12, 18, 18, 12, 6], 5.0, 5.0, Edge::Pole, Edge::Pole, |_| 1.0);
    let radius = rest.loaded_radius_mm();
    let most = solve(&rest, &Membrane::new(0.25 / radius));
    let over = solve(&rest, &Membrane::new(9.0 / radius));
    assert!(over.overstuffed && over.converged && (over.asked_load - 9.0).abs() < 1e-12);
    assert!((over.load - 0.25).abs() < 1e-12);
    assert!(apart(&over.radius_mm, most.radius_mm.iter().copied()) < 1e-9);
}

/// A membrane or a part that means nothing gives a whole, finite shape that says it is no solution.
#[test]
fn nonsense_gives_the_rest_shape() {
    let sound = part(&[6, 12, 18, 18, 12, 6], 5.0, 5.0, Edge::Pole, Edge::Pole, |_| 1.0);
    let whole = |rest: &Rest, membrane: &Membrane| {
        let solved = solve(rest, membrane);
        assert!(!solved.converged);
        let all = [&solved.radius_mm, &solved.rise_mm, &solved.z_mm, &solved.hoop, &solved.along];
        assert!(all.into_iter().flatten().all(|x| x.is_finite()) && solved.asked_load.is_finite());
        solved
    };
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let solved = whole(&sound, &Membrane::new(bad));
        assert_eq!(solved.radius_mm, sound.radius_mm);
        assert!(solved.rise_mm.iter().all(|d| *d > 0.0));
        whole(&sound, &Membrane { compression_share: bad, ..Membrane::new(0.01) });
        let mut broken = sound.clone();
        broken.link_mm[2] = bad;
        whole(&broken, &Membrane::new(0.01));
        let mut broken = sound.clone();
        broken.radius_mm[2] = bad;
        whole(&broken, &Membrane::new(0.01));
    }
    let mut broken = sound.clone();
    broken.link_mm.clear();
    whole(&broken, &Membrane::new(0.01));
    broken.radius_mm.clear();
    whole(&broken, &Membrane::new(0.01));
}

/// A count of 0 between other rounds, a pole that is open, a link of no length: each is refused by name.
#[test]
fn bad_rest_shapes_are_refused_by_node() {
    let refused = |radius: &[f64], link: &[f64]| {
        Rest::stuffed(radius.to_vec(), link.to_vec(), Edge::Pole, Edge::Free).map_err(|e| e.to_string())
    };
    let says = |radius: &[f64], link: &[f64], words: &str| {
        let said = refused(radius, link).expect_err("it is bad");
        assert!(said.contains(words), "{said:?} does not say {words:?}");
    };
    assert!(refused(&[0.0, 5.0, 5.0], &[1.0, 1.0]).is_ok());
    says(&[0.0, 5.0, 0.0, 5.0], &[1.0; 3], "node 2");
    says(&[0.0, f64::NAN], &[1.0], "node 1");
    says(&[0.0, -4.0], &[1.0], "node 1");
    says(&[2.0, 4.0], &[1.0], "node 0");
    says(&[0.0, 4.0, 4.0], &[1.0, 0.0], "node 1");
    says(&[0.0, 4.0, 4.0], &[1.0], "2 links");
    says(&[0.0], &[], "at least 2");
    let fill = Rest::new(vec![0.0, 4.0], vec![1.0], vec![0.0], Edge::Pole, Edge::Free);
    assert!(fill.is_err_and(|e| e.to_string().contains("node 0")));
}
