//! From a changed count to the new report, the flat pictures and the solid view's meshes: what the window works out
//! between a key press and the frame that shows it, painting apart. A toy of 12 parts of 50 rounds.
//!
//! `cargo bench --no-default-features --bench views`

use std::hint::black_box;

use divan::Bencher;
use glam::DVec3;
use toppleknot::document::edits;
use toppleknot::measure::derive;
use toppleknot::part::{End, Part};
use toppleknot::rounds::{Finish, rounds_of_counts};
use toppleknot::toy::{Address, Joint, Piece, Placement, Seat, Toy};
use toppleknot::view::elevation::{Side, elevation};
use toppleknot::view::scene::SceneStore;
use toppleknot::view::toy_scene::scene_input;

fn main() {
    divan::main();
}

fn toy(parts: u32) -> Toy {
    let pieces = (0..parts).map(|i| {
        let mut counts: Vec<u32> = (1..=6).map(|n| 6 * n).collect();
        counts.extend((0..38).map(|n| 36 + (n * (i + 3)) % 4));
        counts.extend([36, 30, 24, 18, 12, 9]);
        let rounds = rounds_of_counts(&counts).expect("counts above zero");
        let finish = if i == 0 { Finish::Gathered } else { Finish::Open };
        let seat = match i {
            0 => Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 },
            1 => Seat::OnEnd { part: "Part 0".into(), end: End::Finish },
            _ => Seat::OnSurface {
                part: "Part 0".into(),
                at: Address { round: f64::from(8 + (i * 7) % 30), angle_deg: f64::from(i) * 47.0 },
            },
        };
        let placement = Placement { seat, joint: Joint::RimOnSurface, ..Placement::default() };
        Piece { part: Part { name: format!("Part {i}"), rounds, finish, ..Part::default() }, placement }
    });
    Toy { name: "Bench".into(), pieces: pieces.collect(), ..Toy::default() }
}

#[divan::bench(args = [1, 12])]
fn from_edit_to_pictures(bencher: Bencher, parts: u32) {
    let mut toy = toy(parts);
    let mut store = SceneStore::new();
    let mut count = 30;
    bencher.bench_local(|| {
        count = if count == 30 { 31 } else { 30 };
        edits::set_count(&mut toy.pieces[0].part, 20, count);
        let derived = derive(black_box(&toy));
        let pictures = [Side::Front, Side::Left].map(|side| elevation(&toy, &derived.made, side, None));
        let centre = derived.report.toy.centre_of_mass_mm.map(DVec3::from_array);
        let scene = store.build(scene_input(&toy, &derived.made, None, centre));
        (derived, pictures, scene.triangles())
    });
}

#[divan::bench(args = [1, 12])]
fn report_alone(bencher: Bencher, parts: u32) {
    let toy = toy(parts);
    bencher.bench_local(|| derive(black_box(&toy)));
}

#[divan::bench(args = [1, 12])]
fn flat_picture(bencher: Bencher, parts: u32) {
    let toy = toy(parts);
    let derived = derive(&toy);
    bencher.bench_local(|| elevation(&toy, black_box(&derived.made), Side::Front, None));
}
