//! Pulling a part over the toy in a flat view: which seat lies under the hand, and what to call it.

use glam::{DVec2, DVec3};

use super::elevation::Side;
use crate::measure::Made;
use crate::part::End;
use crate::solid::Ring;
use crate::toy::address::surface_point;
use crate::toy::{Address, Copies, Seat, Toy};

/// Rounds are snapped to halves: the middle and the edge of a round.
const SNAP_ROUND: f64 = 0.5;
/// Angles are snapped to these many degrees.
const SNAP_DEG: f64 = 5.0;
/// Of two places equally near the hand the one nearer to where the part was is taken: mm for half a turn.
const HALF_TURN_MM: f64 = 4.0;
/// Places on the floor are snapped to whole mm.
const SNAP_MM: f64 = 1.0;

/// How much nearer an end is taken to be than a place on the side: a part that sits there stays until it is pulled
/// clear of it, and one pulled onto it stays, mm.
const SNAP_END_MM: f64 = 4.0;

/// Whether a part can be pulled: it sits on another, or stands on the floor.
pub fn can_be_pulled(toy: &Toy, part: usize) -> bool {
    matches!(
        toy.pieces.get(part).map(|p| &p.placement.seat),
        Some(Seat::OnSurface { .. } | Seat::OnEnd { .. } | Seat::Floor { .. })
    )
}

/// Copy of a part among the copies on one copy of its parent.
fn own_copy(copies: Copies, copy: usize) -> usize {
    copy % copies.number().max(1) as usize
}

/// The angle at which a copy sits, from that of the first, and back again with `way` −1.
fn angle_of_copy(copies: Copies, copy: usize, angle_deg: f64, way: f64) -> f64 {
    match copies {
        Copies::One => angle_deg,
        Copies::MirroredPair => {
            if own_copy(copies, copy) == 1 {
                -angle_deg
            } else {
                angle_deg
            }
        }
        Copies::Around(n) => {
            // A turn about the axis from +x toward +y takes the angle from +y toward +x down.
            angle_deg - way * 360.0 * own_copy(copies, copy) as f64 / f64::from(n.max(1))
        }
    }
}

fn turned_into_range(deg: f64) -> f64 {
    let deg = deg.rem_euclid(360.0);
    if deg > 180.0 { deg - 360.0 } else { deg }
}

/// Where a copy of a part is fixed, mm.
pub fn seat_at(toy: &Toy, made: &Made, part: usize, copy: usize) -> Option<DVec3> {
    let placement = &toy.pieces.get(part)?.placement;
    match &placement.seat {
        Seat::OnSurface { part: onto, at } => {
            let parent = toy.piece_named(onto)?;
            let angle_deg = angle_of_copy(placement.copies, copy, at.angle_deg, 1.0);
            let point = surface_point(&made.shapes.get(parent)?.outer.rings, Address { angle_deg, ..*at })?;
            let number = placement.copies.number().max(1) as usize;
            let motion = made.poses.get(parent)?.toy_from_part.get(copy / number)?;
            Some(motion.transform_point3(point.at))
        }
        Seat::Floor { x_mm, y_mm, .. } => {
            let mirrored = placement.copies == Copies::MirroredPair && copy == 1;
            Some(DVec3::new(if mirrored { -x_mm } else { *x_mm }, *y_mm, 0.0))
        }
        Seat::OnEnd { .. } => Some(made.poses.get(part)?.toy_from_upright.get(copy)?.translation),
        Seat::Beside => None,
    }
}

/// A view in which parts are pulled: where it shows a point, and which way a surface faces in it.
pub struct View<'a> {
    /// Where a point of the toy is shown; none behind the camera.
    pub place: &'a dyn Fn(DVec3) -> Option<DVec2>,
    /// How much a surface (point, unit vector out of it) faces who looks: 1 straight, −1 away.
    pub faces: &'a dyn Fn(DVec3, DVec3) -> f64,
    /// What a mm is long in it.
    pub per_mm: f64,
}

/// The seat on another part nearest to where a copy is pulled to in a view: on its side, snapped to rounds and
/// angles, or on the end it sat on before or is pulled onto. Only a single copy sits on an end.
pub fn pull_over(toy: &Toy, made: &Made, part: usize, copy: usize, to: DVec2, view: &View) -> Option<Seat> {
    let placement = &toy.pieces.get(part)?.placement;
    let (onto, at) = match &placement.seat {
        Seat::OnSurface { part, at } => (part, Some(*at)),
        Seat::OnEnd { part, .. } => (part, None),
        Seat::Floor { .. } | Seat::Beside => return None,
    };
    let parent = toy.piece_named(onto)?;
    let rings = &made.shapes.get(parent)?.outer.rings;
    let number = placement.copies.number().max(1) as usize;
    let motion = made.poses.get(parent)?.toy_from_part.get(copy / number)?;
    let shown = |address: Address| {
        let point = surface_point(rings, address)?;
        let at = motion.transform_point3(point.at);
        Some((at, (view.faces)(at, motion.transform_vector3(point.out))))
    };
    let now_deg = at.map(|at| angle_of_copy(placement.copies, copy, at.angle_deg, 1.0));
    // What sits on the far side stays there; what comes from an end goes to the side that is seen.
    let far = |(at, angle_deg): (Address, f64)| shown(Address { angle_deg, ..at }).is_some_and(|(_, f)| f < -0.2);
    let behind = at.zip(now_deg).is_some_and(far);
    let rounds = toy.pieces[parent].part.rounds.len() as f64;
    let mut best: Option<(f64, Address)> = None;
    let mut round = 0.0;
    while round <= rounds {
        for step in 0..(360.0 / SNAP_DEG) as usize {
            let address = Address { round, angle_deg: turned_into_range(step as f64 * SNAP_DEG) };
            let Some((at, faces)) = shown(address) else { continue };
            if (faces < -0.02) != behind && faces.abs() > 0.02 {
                continue;
            }
            let Some(place) = (view.place)(at) else { continue };
            let turn = now_deg.map_or(0.0, |now| turned_into_range(address.angle_deg - now).abs() / 180.0);
            let cost = place.distance(to) + HALF_TURN_MM * view.per_mm * turn;
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, address));
            }
        }
        round += SNAP_ROUND;
    }
    let (cost, found) = best?;
    if placement.copies == Copies::One {
        // A rim rests where the other part is as wide as it is.
        let rim_mm = made.poses.get(part)?.seam.map_or(0.0, |s| s.resting_half_mm());
        let wide = |r: &&Ring| r.radius_mm + r.core_half_mm >= rim_mm;
        let ends = [
            (End::Start, rings.iter().find(wide).or(rings.first())),
            (End::Finish, rings.iter().rev().find(wide).or(rings.last())),
        ];
        let near = ends.into_iter().filter_map(|(end, ring)| {
            let at = motion.transform_point3(DVec3::new(0.0, 0.0, ring?.z_mm));
            // An end by which the other part is fixed itself is not free.
            let free = made.poses[parent].parent.is_none() || made.poses[parent].by != end;
            let out = motion.transform_vector3(if end == End::Start { DVec3::NEG_Z } else { DVec3::Z });
            let seen = (view.faces)(at, out) > -0.05;
            let place = (view.place)(at).filter(|_| free && seen && !on_floor_by(toy, parent, end))?;
            Some((place.distance(to), end))
        });
        let nearest = near.min_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((_, end)) = nearest.filter(|(away, _)| *away < cost + SNAP_END_MM * view.per_mm) {
            return Some(Seat::OnEnd { part: onto.clone(), end });
        }
    }
    let angle_deg = turned_into_range(angle_of_copy(placement.copies, copy, found.angle_deg, -1.0));
    Some(Seat::OnSurface { part: onto.clone(), at: Address { angle_deg, ..found } })
}

/// Whether a part stands on the floor by this end.
fn on_floor_by(toy: &Toy, part: usize, end: End) -> bool {
    matches!(toy.pieces[part].placement.seat, Seat::Floor { down, .. } if down == end)
}

/// The seat of a part that stands on the floor, one copy of which is pulled to a place there (x and y of the toy's
/// frame, mm); snapped to whole mm.
pub fn pull_on_floor(toy: &Toy, part: usize, copy: usize, at: DVec2) -> Option<Seat> {
    let placement = &toy.pieces.get(part)?.placement;
    let Seat::Floor { down, .. } = placement.seat else { return None };
    let snap = |mm: f64| (mm.clamp(-1000.0, 1000.0) / SNAP_MM).round() * SNAP_MM;
    let mirrored = placement.copies == Copies::MirroredPair && copy == 1;
    Some(Seat::Floor { down, x_mm: snap(if mirrored { -at.x } else { at.x }), y_mm: snap(at.y) })
}

/// The seat of a part, one copy of which is pulled to a point of a flat picture; snapped to rounds and angles, on
/// the floor to whole mm.
pub fn pull(toy: &Toy, made: &Made, side: Side, part: usize, copy: usize, to: DVec2) -> Option<Seat> {
    let placement = &toy.pieces.get(part)?.placement;
    match &placement.seat {
        Seat::OnSurface { .. } | Seat::OnEnd { .. } => {
            let view = View { place: &|p| Some(side.flat(p)), faces: &|_, out| side.near(out), per_mm: 1.0 };
            pull_over(toy, made, part, copy, to, &view)
        }
        Seat::Floor { x_mm, y_mm, .. } => {
            let mirrored = placement.copies == Copies::MirroredPair && copy == 1;
            let at = match side {
                Side::Front => DVec2::new(to.x, *y_mm),
                Side::Left => DVec2::new(if mirrored { -x_mm } else { *x_mm }, -to.x),
                Side::Top => DVec2::new(to.x, -to.y),
            };
            pull_on_floor(toy, part, copy, at)
        }
        Seat::Beside => None,
    }
}

/// A seat in words a maker can count by: "Body, round 14, 9 of 36 stitches from the front to its left".
pub fn told(toy: &Toy, seat: &Seat) -> String {
    match seat {
        Seat::OnSurface { part, at } => {
            let rounds = toy.piece_named(part).map(|i| &toy.pieces[i].part.rounds[..]).unwrap_or_default();
            let place = if at.round.fract() > 0.01 {
                format!("round {:.0}", at.round.ceil())
            } else {
                format!("upper edge of round {:.0}", at.round)
            };
            let index = (at.round.ceil().max(1.0) as usize - 1).min(rounds.len().saturating_sub(1));
            let count = rounds.get(index).map_or(0, crate::rounds::Round::count);
            let stitches = (f64::from(count) * at.angle_deg.abs() / 360.0).round();
            let way = match at.angle_deg {
                a if a.abs() < 0.5 => ", in front".to_owned(),
                a if a.abs() > 179.5 => ", at the back".to_owned(),
                a => format!(
                    ", {stitches:.0} of {count} stitches from the front to its {}",
                    if a > 0.0 { "left" } else { "right" }
                ),
            };
            format!("{part}, {place}{way}")
        }
        Seat::Floor { x_mm, y_mm, .. } => format!("on the floor, {x_mm:.0} mm to its left, {y_mm:.0} mm to its front"),
        Seat::OnEnd { part, end } => {
            let end = if *end == crate::part::End::Start { "first round" } else { "last round" };
            format!("on the {end} of {part}")
        }
        Seat::Beside => "not placed yet".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::make;
    use crate::view::test_toy::body_with_arm as toy;

    /// Pulled to where another seat is seen, a part gets that seat, whichever copy is pulled.
    #[test]
    fn a_part_lands_where_it_is_pulled_to() {
        let wanted = Address { round: 7.0, angle_deg: 40.0 };
        for copies in [Copies::One, Copies::MirroredPair, Copies::Around(3)] {
            let target = toy(copies, wanted);
            let from = toy(copies, Address { round: 5.0, angle_deg: 20.0 });
            let from_made = make(&from);
            for copy in 0..copies.number() as usize {
                // What is seen of the body is the same for both.
                let to = Side::Front.flat(seat_at(&target, &from_made, 1, copy).expect("it has a seat"));
                let back = angle_of_copy(copies, copy, wanted.angle_deg, 1.0).to_radians().cos() < 0.0;
                let start_back = angle_of_copy(copies, copy, 20.0, 1.0).to_radians().cos() < 0.0;
                if back != start_back {
                    continue;
                }
                let seat = pull(&from, &from_made, Side::Front, 1, copy, to).expect("it can be pulled");
                assert_eq!(seat, Seat::OnSurface { part: "body".into(), at: wanted }, "{copies:?}, copy {copy}");
            }
        }
    }

    #[test]
    fn a_part_on_the_floor_moves_as_the_view_shows_it() {
        let mut toy = toy(Copies::One, Address::default());
        toy.pieces[1].placement.seat = Seat::Floor { down: End::Start, x_mm: 3.0, y_mm: 4.0 };
        let made = make(&toy);
        let at = |side, to: [f64; 2]| match pull(&toy, &made, side, 1, 0, DVec2::from_array(to)) {
            Some(Seat::Floor { x_mm, y_mm, .. }) => (x_mm, y_mm),
            other => panic!("{other:?}"),
        };
        assert_eq!(at(Side::Front, [20.2, 9.0]), (20.0, 4.0));
        assert_eq!(at(Side::Left, [-30.0, 9.0]), (3.0, 30.0));
        assert_eq!(at(Side::Top, [-8.0, -12.0]), (-8.0, 12.0));
    }

    /// A part on an end stays there for a small pull, goes over the side for a large one, and comes back.
    #[test]
    fn a_part_is_pulled_off_an_end_and_back() {
        let mut toy = toy(Copies::One, Address::default());
        let on_end = Seat::OnEnd { part: "body".into(), end: End::Finish };
        toy.pieces[1].placement.seat = on_end.clone();
        let made = make(&toy);
        let seat = seat_at(&toy, &made, 1, 0).expect("it has a seat");
        let pulled = |toy: &Toy, to: DVec2| pull(toy, &make(toy), Side::Front, 1, 0, to);
        let at = Side::Front.flat(seat);
        assert_eq!(pulled(&toy, at + DVec2::new(2.0, 1.0)), Some(on_end.clone()));
        let wide = made.shapes[0].widest_mm() / 2.0;
        let off = pulled(&toy, at + DVec2::new(0.8 * wide, -0.4 * at.y)).expect("it can be pulled");
        assert!(matches!(&off, Seat::OnSurface { part, .. } if part == "body"), "{off:?}");
        toy.pieces[1].placement.seat = off;
        assert_eq!(pulled(&toy, at), Some(on_end));
        // The end by which the body stands is not free, and two copies cannot sit on one end.
        assert!(matches!(pulled(&toy, DVec2::ZERO), Some(Seat::OnSurface { .. })));
        toy.pieces[1].placement.copies = Copies::MirroredPair;
        assert!(matches!(pulled(&toy, at), Some(Seat::OnSurface { .. })));
    }

    #[test]
    fn mirrored_parts_on_the_floor_move_together() {
        let mut toy = toy(Copies::MirroredPair, Address::default());
        toy.pieces[1].placement.seat = Seat::Floor { down: End::Start, x_mm: 3.0, y_mm: 4.0 };
        let moved = Some(Seat::Floor { down: End::Start, x_mm: 12.0, y_mm: -5.0 });
        assert_eq!(pull_on_floor(&toy, 1, 0, DVec2::new(12.2, -5.0)), moved);
        assert_eq!(pull_on_floor(&toy, 1, 1, DVec2::new(-12.2, -5.0)), moved);
    }

    #[test]
    fn seats_are_told_in_stitches() {
        let toy = toy(Copies::One, Address { round: 6.5, angle_deg: 60.0 });
        // A sixth of the way around 30 stitches.
        assert_eq!(
            told(&toy, &toy.pieces[1].placement.seat),
            "body, round 7, 5 of 30 stitches from the front to its left"
        );
    }
}
