//! Laws of the stuffed shape, on random lists of counts.

#[path = "../published/stuffing/oracle.rs"]
#[allow(dead_code)]
mod oracle;

use oracle::Part;
use proptest::prelude::*;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::f64::consts::TAU;
use toppleknot::stuffing::{Edge, Membrane, Rest, Solved, solve, stuffed_volume_mm3};

/// Lists of counts, 2 to 120 rounds of 3 to 200 stitches.
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

fn counts(kind: Kind, rounds: usize, dice: &mut ChaCha8Rng) -> Vec<u32> {
    let mut list = Vec::with_capacity(rounds);
    let mut n: i32 = match kind {
        Kind::Craft => dice.random_range(4..=12),
        _ => dice.random_range(3..=200),
    };
    let mut change = dice.random_range(0..=8);
    let mut run = dice.random_range(1..=10);
    for _ in 0..rounds {
        list.push(n.clamp(3, 200) as u32);
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
                n = (n + change).clamp(3, 200);
            }
            Kind::Uniform => n = dice.random_range(3..=200),
            Kind::Steps if turn => n = dice.random_range(3..=200),
            Kind::Steps => {}
            Kind::Ruffles if turn => n = (n / dice.random_range(1..=8)).max(3),
            Kind::Ruffles => n = (n * dice.random_range(1..=3)).min(200),
            Kind::Spikes => n = if dice.random_bool(0.15) { dice.random_range(3..=200) } else { list[0] as i32 },
        }
    }
    list
}

/// The part of a list: a magic ring, or a chain ring held or free; a last round gathered shut, held or free.
fn part(counts: &[u32], w: f64, h: f64, first: Edge, last: Edge, fill: impl Fn(usize) -> f64) -> Rest {
    let round = |n: u32| f64::from(n) * w / TAU;
    let mut radius: Vec<f64> = counts.iter().map(|n| round(*n)).collect();
    let mut link = vec![h; counts.len() - 1];
    if first == Edge::Pole {
        radius.insert(0, 0.0);
        link.insert(0, h);
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
    let off = as_oracle(rest, membrane).imbalance(&solved.radius_mm, &solved.z_mm);
    (off >= 1e-7).then(|| format!("forces off by {off} of p·π·R²"))
}

/// The `number`-th random part, always the same.
fn random_part(number: u64) -> (Kind, Vec<u32>, Rest, Membrane) {
    let dice = &mut ChaCha8Rng::seed_from_u64(number);
    let kind = KINDS[(number % 5) as usize];
    let rounds = dice.random_range(2..=120);
    let list = counts(kind, rounds, dice);
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

/// 100,000 random parts of five kinds: each has its equilibrium, and the forces summed by the oracle's own routine
/// balance at every node to 1e-7 of p·π·R².
#[test]
fn every_list_of_counts_has_an_equilibrium() {
    let lists = 100_000;
    let lanes = std::thread::available_parallelism().map_or(2, usize::from) as u64;
    let try_lane = |lane: u64| {
        let mut iterations = Vec::new();
        for number in (lane..lists).step_by(lanes as usize) {
            let (kind, list, rest, membrane) = random_part(number);
            let solved = solve(&rest, &membrane);
            if let Some(fault) = fault(&rest, &membrane, &solved) {
                panic!("list {number}, {kind:?}: {fault}\n{list:?}\n{:?} to {:?}, {membrane:?}", rest.first, rest.last);
            }
            iterations.push(solved.iterations);
        }
        iterations
    };
    let mut iterations: Vec<u32> = std::thread::scope(|scope| {
        let lanes: Vec<_> = (0..lanes).map(|lane| scope.spawn(move || try_lane(lane))).collect();
        lanes.into_iter().flat_map(|lane| lane.join().unwrap_or_else(|e| std::panic::resume_unwind(e))).collect()
    });
    assert_eq!(iterations.len() as u64, lists);
    iterations.sort_unstable();
    let most = iterations[iterations.len() - 1];
    println!(
        "trials: median {}, 99 % {}, most {most}",
        iterations[iterations.len() / 2],
        iterations[iterations.len() / 100 * 99]
    );
    assert!(most <= 100, "{most} trials");
}
