//! The toy as a table would show it: turned to another pose, and with what dangles laid on the floor. For pictures
//! alone; masses and balance follow from the toy as it is laid out.

use glam::{DAffine3, DQuat, DVec3};

use crate::measure::Made;
use crate::solid::Placed;

/// What reaches no deeper than this lies on the floor, mm.
const TOUCHES_MM: f64 = 0.3;
/// Steps in which a dangling part is lifted until it lies on the floor, degrees.
const STEP_DEG: f64 = 3.0;
/// Highest that it is lifted, degrees.
const MOST_DEG: f64 = 150.0;

/// The toy turned so that a direction of its frame points up, and set on the floor by what props it up where it was
/// dropped; and that motion.
pub fn turned(made: &Made, up: DVec3) -> (Made, DAffine3) {
    let turn = DAffine3::from_quat(DQuat::from_rotation_arc(up.normalize_or(DVec3::Z), DVec3::Z));
    let props = made.props_when_dropped();
    let mut posed = made.clone();
    let mut move_all = |by: DAffine3| {
        for pose in &mut posed.poses {
            pose.toy_from_part.iter_mut().chain(&mut pose.toy_from_upright).for_each(|m| *m = by * *m);
        }
        let lowest = |all: bool| {
            let solids = posed.outsides().filter(|(i, _)| all || props[*i]);
            solids.map(|(_, solid)| -solid.support_mm(DVec3::NEG_Z)).fold(f64::INFINITY, f64::min)
        };
        let bearing = lowest(false);
        let lowest = if bearing.is_finite() { bearing } else { lowest(true) };
        if lowest.is_finite() { lowest } else { 0.0 }
    };
    let lift = DAffine3::from_translation(DVec3::new(0.0, 0.0, -move_all(turn)));
    move_all(lift);
    (posed, lift * turn)
}

/// Lays what dangles below the floor on it: such a part turns about its seam, outward, and takes with it what it
/// carries.
pub fn lay_dangling(made: &mut Made) {
    let props = made.props_when_dropped();
    let mut order: Vec<(usize, usize)> = (0..made.poses.len()).map(|i| (made.and_what_carries(i).count(), i)).collect();
    order.sort_unstable();
    for (_, part) in order {
        if props[part] || made.poses[part].parent.is_none() {
            continue;
        }
        for copy in 0..made.poses[part].toy_from_part.len() {
            if lowest_mm(made, part, made.poses[part].toy_from_part[copy]) >= -TOUCHES_MM {
                continue;
            }
            let by = lifted(made, part, copy);
            apply(made, part, copy, by);
        }
    }
}

fn lowest_mm(made: &Made, part: usize, toy_from_part: DAffine3) -> f64 {
    -Placed { solid: &made.shapes[part].outer, toy_from_part }.support_mm(DVec3::NEG_Z)
}

/// The turn about its seam by which a copy of a part comes to lie on the floor, or as near to that as a turn gets.
fn lifted(made: &Made, part: usize, copy: usize) -> DAffine3 {
    let pose = &made.poses[part];
    let (upright, placed) = (pose.toy_from_upright[copy], pose.toy_from_part[copy]);
    let flat = |v: DVec3| DVec3::new(v.x, v.y, 0.0);
    let pivot = upright.translation;
    let out = flat(upright.transform_vector3(DVec3::Z));
    let from_middle = flat(pivot);
    let way = if out.length() > 0.2 { out } else { from_middle }.normalize_or(DVec3::Y);
    let about = DVec3::NEG_Z.cross(way);
    let turn = |deg: f64| {
        let turn = DAffine3::from_quat(DQuat::from_axis_angle(about, deg.to_radians()));
        DAffine3::from_translation(pivot) * turn * DAffine3::from_translation(-pivot)
    };
    let lowest = |deg: f64| lowest_mm(made, part, turn(deg) * placed);
    let mut best = (lowest(0.0), 0.0);
    let mut deg = STEP_DEG;
    while deg <= MOST_DEG {
        let found = lowest(deg);
        if found >= -TOUCHES_MM {
            // Between the last step and this one it comes to touch.
            let (mut low, mut high) = (deg - STEP_DEG, deg);
            for _ in 0..12 {
                let middle = 0.5 * (low + high);
                if lowest(middle) >= -TOUCHES_MM { high = middle } else { low = middle }
            }
            return turn(high);
        }
        if found > best.0 {
            best = (found, deg);
        }
        deg += STEP_DEG;
    }
    turn(best.1)
}

/// Moves a copy of a part and what sits on it.
fn apply(made: &mut Made, part: usize, copy: usize, by: DAffine3) {
    let mut moved = vec![(part, copy)];
    let mut at = 0;
    // Copies of what sits on it follow each other, as many for each copy; nothing sits on itself.
    while at < moved.len() && moved.len() < 2000 {
        let (part, copy) = moved[at];
        at += 1;
        let of = made.poses[part].toy_from_part.len().max(1);
        for (child, pose) in made.poses.iter().enumerate() {
            let each = pose.toy_from_part.len() / of;
            if pose.parent == Some(part) && each > 0 {
                moved.extend((copy * each..(copy + 1) * each).map(|c| (child, c)));
            }
        }
    }
    for (part, copy) in moved {
        let pose = &mut made.poses[part];
        for motions in [&mut pose.toy_from_part, &mut pose.toy_from_upright] {
            if let Some(motion) = motions.get_mut(copy) {
                *motion = by * *motion;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::make;
    use crate::part::End;
    use crate::rounds::{Finish, rounds_of_counts};
    use crate::toy::{Address, Copies, Joint, Piece, Seat, Toy};

    fn toy() -> Toy {
        let mut body = Piece::default();
        body.part.name = "body".into();
        body.part.rounds = rounds_of_counts(&[6, 12, 18, 24, 24, 24, 18, 12, 6]).expect("counts above zero");
        body.placement.seat = Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 };
        let mut leg = Piece::default();
        leg.part.name = "leg".into();
        leg.part.rounds = rounds_of_counts(&[6; 24]).expect("counts above zero");
        leg.part.finish = Finish::Open;
        leg.placement.seat = Seat::OnSurface { part: "body".into(), at: Address { round: 4.0, angle_deg: 40.0 } };
        leg.placement.copies = Copies::MirroredPair;
        leg.placement.joint = Joint::FoldedFlat;
        leg.placement.nod_deg = 60.0;
        let mut foot = leg.clone();
        foot.part.name = "foot".into();
        foot.part.rounds = rounds_of_counts(&[6, 9, 9, 9]).expect("counts above zero");
        foot.placement.copies = Copies::One;
        foot.placement.seat = Seat::OnEnd { part: "leg".into(), end: End::Start };
        Toy { pieces: vec![body, leg, foot], ..Toy::default() }
    }

    #[test]
    fn a_toy_laid_down_rests_on_the_floor() {
        let made = make(&Toy { pieces: toy().pieces[..1].to_vec(), ..Toy::default() });
        let (laid, turn) = turned(&made, DVec3::Y);
        let (_, solid) = laid.outsides().next().expect("one part");
        assert!(solid.support_mm(DVec3::NEG_Z).abs() < 1e-9);
        // What was in front is above now.
        assert!((turn.transform_vector3(DVec3::Y) - DVec3::Z).length() < 1e-9);
        // On its back it is as tall as it was deep.
        assert!((solid.support_mm(DVec3::Z) - made.shapes[0].widest_mm()).abs() < 1e-6);
    }

    #[test]
    fn what_dangles_lies_on_the_floor_with_all_it_carries() {
        let mut made = make(&toy());
        let before = made.clone();
        assert!(lowest_mm(&made, 1, made.poses[1].toy_from_part[0]) < -5.0);
        lay_dangling(&mut made);
        for copy in 0..2 {
            let lowest = lowest_mm(&made, 1, made.poses[1].toy_from_part[copy]);
            assert!((-TOUCHES_MM..1.0).contains(&lowest), "{lowest}");
            // The seam stays, and the foot where it is sewn.
            let seam = |m: &Made| m.poses[1].toy_from_upright[copy].translation;
            assert!(seam(&made).distance(seam(&before)) < 1e-6);
            let apart = |m: &Made| m.poses[1].toy_from_part[copy].inverse() * m.poses[2].toy_from_part[copy];
            let foot_moved = lowest_mm(&before, 2, before.poses[2].toy_from_part[copy]) < -TOUCHES_MM;
            let same = apart(&made).translation.distance(apart(&before).translation);
            assert!(same < 1e-6 || foot_moved, "{same}");
        }
        // What bears has not moved.
        assert_eq!(made.poses[0].toy_from_part, before.poses[0].toy_from_part);
    }
}
