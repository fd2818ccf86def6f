//! Pulling a part over the toy in a flat view: which seat lies under the hand, and what to call it.

use glam::{DVec2, DVec3};

use super::elevation::Side;
use crate::measure::Made;
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

/// Whether a part can be pulled: it sits on the side of another, or stands on the floor.
pub fn can_be_pulled(toy: &Toy, part: usize) -> bool {
    matches!(toy.pieces.get(part).map(|p| &p.placement.seat), Some(Seat::OnSurface { .. } | Seat::Floor { .. }))
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

/// Where a copy of a part is fixed, as seen from a side, mm.
pub fn seat_at(toy: &Toy, made: &Made, side: Side, part: usize, copy: usize) -> Option<DVec2> {
    let placement = &toy.pieces.get(part)?.placement;
    match &placement.seat {
        Seat::OnSurface { part: onto, at } => {
            let parent = toy.piece_named(onto)?;
            let angle_deg = angle_of_copy(placement.copies, copy, at.angle_deg, 1.0);
            let point = surface_point(&made.shapes.get(parent)?.outer.rings, Address { angle_deg, ..*at })?;
            let number = placement.copies.number().max(1) as usize;
            let motion = made.poses.get(parent)?.toy_from_part.get(copy / number)?;
            Some(side.flat(motion.transform_point3(point.at)))
        }
        Seat::Floor { x_mm, y_mm, .. } => {
            let mirrored = placement.copies == Copies::MirroredPair && copy == 1;
            Some(side.flat(DVec3::new(if mirrored { -x_mm } else { *x_mm }, *y_mm, 0.0)))
        }
        Seat::Beside | Seat::OnEnd { .. } => None,
    }
}

/// The seat of a part, one copy of which is pulled to a point of the picture; snapped to rounds and angles.
pub fn pull(toy: &Toy, made: &Made, side: Side, part: usize, copy: usize, to: DVec2) -> Option<Seat> {
    let placement = &toy.pieces.get(part)?.placement;
    match &placement.seat {
        Seat::OnSurface { part: onto, at } => {
            let parent = toy.piece_named(onto)?;
            let rings = &made.shapes.get(parent)?.outer.rings;
            let number = placement.copies.number().max(1) as usize;
            let motion = made.poses.get(parent)?.toy_from_part.get(copy / number)?;
            let now_deg = angle_of_copy(placement.copies, copy, at.angle_deg, 1.0);
            let facing =
                |address: Address| surface_point(rings, address).map(|p| side.near(motion.transform_vector3(p.out)));
            // What sits on the far side stays there.
            let behind = facing(Address { angle_deg: now_deg, ..*at }).is_some_and(|near| near < -0.2);
            let rounds = toy.pieces[parent].part.rounds.len() as f64;
            let mut best: Option<(f64, Address)> = None;
            let mut round = 0.0;
            while round <= rounds {
                for step in 0..(360.0 / SNAP_DEG) as usize {
                    let address = Address { round, angle_deg: turned_into_range(step as f64 * SNAP_DEG) };
                    let Some(point) = surface_point(rings, address) else { continue };
                    let near = side.near(motion.transform_vector3(point.out));
                    if (near < -0.02) != behind && near.abs() > 0.02 {
                        continue;
                    }
                    let away = side.flat(motion.transform_point3(point.at)).distance(to);
                    let turn = turned_into_range(address.angle_deg - now_deg).abs() / 180.0;
                    let cost = away + HALF_TURN_MM * turn;
                    if best.is_none_or(|(least, _)| cost < least) {
                        best = Some((cost, address));
                    }
                }
                round += SNAP_ROUND;
            }
            let (_, found) = best?;
            let angle_deg = turned_into_range(angle_of_copy(placement.copies, copy, found.angle_deg, -1.0));
            Some(Seat::OnSurface { part: onto.clone(), at: Address { angle_deg, ..found } })
        }
        Seat::Floor { down, x_mm, y_mm } => {
            let snap = |mm: f64| (mm / SNAP_MM).round() * SNAP_MM;
            let mirrored = placement.copies == Copies::MirroredPair && copy == 1;
            let (x, y) = match side {
                Side::Front => (to.x, *y_mm),
                Side::Left => (if mirrored { -x_mm } else { *x_mm }, -to.x),
                Side::Top => (to.x, -to.y),
            };
            Some(Seat::Floor { down: *down, x_mm: snap(if mirrored { -x } else { x }), y_mm: snap(y) })
        }
        Seat::Beside | Seat::OnEnd { .. } => None,
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
    use crate::part::End;
    use crate::rounds::rounds_of_counts;
    use crate::toy::Piece;

    fn toy(copies: Copies, at: Address) -> Toy {
        let mut body = Piece::default();
        body.part.name = "body".into();
        body.part.rounds =
            rounds_of_counts(&[6, 12, 18, 24, 30, 30, 30, 30, 24, 18, 12, 6]).expect("counts above zero");
        body.placement.seat = Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 };
        let mut arm = Piece::default();
        arm.part.name = "arm".into();
        arm.part.rounds = rounds_of_counts(&[6, 9, 9, 9, 9]).expect("counts above zero");
        arm.part.finish = crate::rounds::Finish::Open;
        arm.placement.seat = Seat::OnSurface { part: "body".into(), at };
        arm.placement.copies = copies;
        Toy { pieces: vec![body, arm], ..Toy::default() }
    }

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
                let to = seat_at(&target, &from_made, Side::Front, 1, copy).expect("it has a seat");
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
