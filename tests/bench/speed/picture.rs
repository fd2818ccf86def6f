//! From a key press to the picture: what is worked out, and a whole frame of the window without what the graphics
//! card does.

use std::hint::black_box;

use glam::DVec3;
use toppleknot::document::edits;
use toppleknot::measure::{Derived, derive, derive_again};
use toppleknot::toy::Toy;
use toppleknot::view::elevation::{Side, elevation};
use toppleknot::view::scene::SceneStore;
use toppleknot::view::toy_scene::scene_input;

use super::table::{Row, ratio, time};
use super::timing::in_turns;
use super::toys::toy;

/// A toy in the hands of its maker: what is kept from one change to the next.
pub struct Hand {
    toy: Toy,
    derived: Derived,
    store: SceneStore,
}

impl Hand {
    pub fn of(parts: u32) -> Hand {
        let toy = toy(parts);
        Hand { derived: derive(&toy), toy, store: SceneStore::new() }
    }

    /// A stitch more or fewer in a round of the body, and all that the window shows of it: report, two flat pictures,
    /// meshes. Returns the number of triangles.
    pub fn change(&mut self) -> usize {
        let count = self.toy.pieces[0].part.rounds[20].count();
        edits::set_count(&mut self.toy.pieces[0].part, 20, if count == 30 { 31 } else { 30 });
        self.derived = derive_again(black_box(&self.toy), &self.derived);
        self.show()
    }

    /// The pictures alone.
    pub fn show(&mut self) -> usize {
        let Hand { toy, derived, store } = self;
        let pictures = [Side::Front, Side::Left].map(|side| elevation(toy, &derived.made, side, None));
        let centre = derived.report.toy.centre_of_mass_mm.map(DVec3::from_array);
        let scene = store.build(scene_input(toy, &derived.made, None, centre));
        black_box(&pictures);
        scene.triangles()
    }
}

pub fn rows() -> Vec<Row> {
    let mut rows: Vec<Row> = [1, 12, 100].into_iter().map(worked_out).collect();
    #[cfg(feature = "gui")]
    rows.extend([1, 12].into_iter().map(super::window::row));
    #[cfg(not(feature = "gui"))]
    rows.push(Row::absent("key press to picture in the window", "built without the window"));
    rows
}

fn worked_out(parts: u32) -> Row {
    let (mut hand, toy) = (Hand::of(parts), toy(parts));
    let [change, report] =
        in_turns(1.0, [&mut || _ = black_box(hand.change()), &mut || drop(black_box(derive(black_box(&toy))))]);
    Row {
        what: format!("key press to report, two flat pictures, meshes, {parts} parts of 50 rounds"),
        here: time(change.span()),
        against: format!("the report from nothing: {}", time(report.span())),
        ratio: ratio(change.over(&report)),
        aim: "a frame of 16.7 ms".to_owned(),
    }
}
