//! Where every part is: rigid motions from the parts' frames to the toy's, following the seats from the parts
//! that stand on the floor outward.
//!
//! A part has an *upright* frame beside its own: z runs away from the end it is fixed by, x and y are those of
//! its own frame. Angles of addresses, nod and lean are meant in the upright frame of the part sat on, so that a
//! head worked from the crown down and a body worked from the base up are spoken of alike.

use std::sync::Arc;

use glam::{DAffine3, DMat3, DQuat, DVec3};

use super::address::{ring_at, seat_depth_mm, surface_point};
use super::shape::{PartShape, ShapeKind};
use super::{Address, Copies, Joint, Piece, Placement, Seat, Toy};
use crate::part::End;
use crate::rounds::{Finish, Start};
use crate::solid::Ring;

/// Copies of one part that are placed at most, those on copies of others included.
const MOST_PLACED: usize = 400;

/// Why a part that has a seat is not placed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unplaced {
    /// It has no seat: it lies beside the toy.
    Beside,
    /// The part it should sit on does not exist, or is not placed itself.
    NoParent,
    /// It sits on itself, directly or through others.
    Circle,
    /// It has no rounds, so nothing to place.
    Empty,
}

/// Where one part is.
#[derive(Clone, Debug)]
pub struct PiecePose {
    /// One motion for each copy, from the part's own frame. Empty where it is not placed.
    pub toy_from_part: Vec<DAffine3>,
    /// One motion for each copy, from the part's upright frame.
    pub toy_from_upright: Vec<DAffine3>,
    /// Why there is none.
    pub unplaced: Option<Unplaced>,
    /// The part it sits on.
    pub parent: Option<usize>,
    /// The joint to that part.
    pub seam: Option<Seam>,
    /// The end it is fixed by, or that is down.
    pub by: End,
    /// Holds its shape against the floor: it is stuffed and does not dangle, nor does anything it hangs on.
    pub firm: bool,
    /// Its seam cannot hold it in every position.
    pub limp: bool,
    /// Props the toy up as it stands: it is firm, and neither it nor anything it hangs on is limp.
    pub bears: bool,
}

/// The joint of a part to the one it sits on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seam {
    /// The part's own rim, as it is laid on: a line (without a radius) where it is folded flat.
    pub rim: Ring,
    /// The narrowest section that opens from one part into the other.
    pub section: Ring,
    /// Node of the part itself.
    pub own_node: f64,
    /// Node of the part sat on.
    pub onto_node: f64,
    /// Height of the seam in the part's own frame, mm.
    pub own_z_mm: f64,
}

/// The end a part is fixed by: an open one where there is one, else the last round.
pub fn fixed_by(piece: &Piece) -> End {
    match (&piece.placement.seat, piece.placement.by) {
        (Seat::Floor { down, .. }, _) => *down,
        (_, Some(by)) => by,
        _ if !piece.part.start_is_closed() && piece.part.closes() => End::Start,
        _ => End::Finish,
    }
}

/// Whether the ends of each part are covered by a seam, and whether it is folded flat there.
pub fn covered(toy: &Toy, index: usize) -> super::shape::Covered {
    let mut covered = super::shape::Covered::default();
    let piece = &toy.pieces[index];
    let mut cover = |end: End| match end {
        End::Start => covered.start = true,
        End::Finish => covered.finish = true,
    };
    if matches!(piece.placement.seat, Seat::OnEnd { .. } | Seat::OnSurface { .. }) {
        cover(fixed_by(piece));
    }
    for other in &toy.pieces {
        match &other.placement.seat {
            Seat::OnEnd { part, end } if *part == piece.part.name => cover(*end),
            _ => {}
        }
        match &other.part.start {
            Start::Rim { part } if *part == piece.part.name => cover(End::Finish),
            Start::JoinedParts { parts, .. } if parts.contains(&piece.part.name) => cover(End::Finish),
            _ => {}
        }
    }
    covered.folded = sewn_folded(piece) || piece.part.finish == Finish::FoldedFlat;
    covered
}

/// Whether the seam of a part runs along an edge that is folded flat, so that the part dangles: said so, or sewn on by
/// an end that was folded flat and closed.
pub fn sewn_folded(piece: &Piece) -> bool {
    let placement = &piece.placement;
    match placement.joint {
        Joint::FoldedFlat => true,
        Joint::RimToRim | Joint::RimOnSurface => {
            let by_edge = fixed_by(piece) == End::Finish && placement.seam_round.is_none();
            by_edge && piece.part.finish == Finish::FoldedFlat
        }
        Joint::WorkedInOne | Joint::Thread => false,
    }
}

/// Whether a part hangs by its seam as it falls: sewn on folded flat, or by a thread.
pub fn hangs_loose(piece: &Piece) -> bool {
    sewn_folded(piece) || piece.placement.joint == Joint::Thread
}

/// Length between the axes of the outermost parts that a joined start is worked around, mm: each of those
/// parts is as wide as its rim, with the chain between.
pub fn joined_core_mm(toy: &Toy, index: usize, w_mm: f64) -> f64 {
    let Start::JoinedParts { parts, chain } = &toy.pieces[index].part.start else { return 0.0 };
    let rims: Vec<f64> = joined_rims(toy, parts).iter().map(|n| f64::from(*n) * w_mm / std::f64::consts::TAU).collect();
    rims.windows(2).map(|p| p[0] + p[1] + f64::from(*chain) * w_mm / 2.0).sum()
}

/// Counts of the rims that are joined, one for each copy.
fn joined_rims(toy: &Toy, parts: &[String]) -> Vec<u32> {
    let mut rims = Vec::new();
    for name in parts {
        if let Some(piece) = toy.piece_named(name).map(|i| &toy.pieces[i]) {
            let copies =
                if parts.iter().filter(|n| *n == name).count() > 1 { 1 } else { piece.placement.copies.number() };
            let count = piece.part.rounds.last().map_or(0, |r| r.count());
            rims.extend(std::iter::repeat_n(count, copies.min(16) as usize));
        }
    }
    rims
}

fn affine(matrix: DMat3, at: DVec3) -> DAffine3 {
    DAffine3 { matrix3: matrix, translation: at }
}

/// From a part's own frame to its upright one: the seam plane at z = 0, z away from the fixed end.
fn upright_from_part(by: End, seam_z_mm: f64) -> DAffine3 {
    match by {
        End::Start => DAffine3::from_translation(DVec3::new(0.0, 0.0, -seam_z_mm)),
        End::Finish => affine(DMat3::from_diagonal(DVec3::new(1.0, 1.0, -1.0)), DVec3::new(0.0, 0.0, seam_z_mm)),
    }
}

/// Rotation that sends z to `out` and keeps y toward the front as far as that goes (up, where `out` is nearly
/// the front itself).
fn facing(out: DVec3) -> DMat3 {
    let reference = if out.y.abs() > 0.9 { DVec3::Z } else { DVec3::Y };
    let y = (reference - out * reference.dot(out)).normalize_or(DVec3::X);
    DMat3::from_cols(y.cross(out), y, out)
}

/// Nod toward the front, then lean toward the left, as a rotation in the parent's upright frame.
fn tipped(placement: &Placement) -> DMat3 {
    let nod = DQuat::from_rotation_x(-finite(placement.nod_deg).to_radians());
    let lean = DQuat::from_rotation_y(finite(placement.lean_deg).to_radians());
    DMat3::from_quat(lean * nod)
}

fn finite(x: f64) -> f64 {
    if x.is_finite() { x } else { 0.0 }
}

/// Node at which the outside has this radius, walking inward from an end to the widest ring; the widest where
/// it never has.
fn node_of_radius(rings: &[Ring], end: End, radius_mm: f64) -> f64 {
    let last = rings.len() - 1;
    let at = |steps: usize| if end == End::Start { steps } else { last - steps };
    for steps in 0..last {
        let (a, b) = (half_width(rings[at(steps)]), half_width(rings[at(steps + 1)]));
        if a >= radius_mm {
            return at(steps) as f64;
        }
        if b >= radius_mm {
            let part = (radius_mm - a) / (b - a);
            let node = steps as f64 + part;
            return if end == End::Start { node } else { last as f64 - node };
        }
        if b < a {
            return at(steps) as f64;
        }
    }
    at(last) as f64
}

/// Half the width of a section along its core.
fn half_width(ring: Ring) -> f64 {
    ring.radius_mm + ring.core_half_mm
}

/// Half the width at which a rim rests on a surface, mm: its own, and none of an edge that is folded flat. That bends
/// along the surface and is sewn down on it from the middle on.
fn resting_half_mm(rim: Ring) -> f64 {
    if rim.radius_mm > 0.0 { half_width(rim) } else { 0.0 }
}

impl Seam {
    /// Half the width of the part's own rim, mm.
    pub fn rim_half_mm(&self) -> f64 {
        half_width(self.rim)
    }

    /// Half the width that the part sat on must have for the rim to rest on an end of it, mm.
    pub fn resting_half_mm(&self) -> f64 {
        resting_half_mm(self.rim)
    }
}

/// The seam of a part by itself: its rim and node.
fn own_seam(piece: &Piece, shape: &PartShape, by: End, parent: &PartShape) -> (Ring, f64) {
    let rings = &shape.nodes;
    let last = (rings.len() - 1) as f64;
    let end_node = if by == End::Start { 0.0 } else { last };
    let closed = match by {
        End::Start => shape.rest.start_closed,
        End::Finish => shape.rest.finish_closed,
    };
    if let Some(node) = piece.placement.seam_round {
        let node = finite(node).clamp(0.0, last);
        return (ring_at(rings, node).unwrap_or_default(), node);
    }
    if !closed {
        return (ring_at(rings, end_node).unwrap_or_default(), end_node);
    }
    // Closed ball on closed ball: sewn around a circle of half the narrower one (from memory; a default).
    let radius = 0.25 * shape.widest_mm().min(parent.widest_mm());
    let node = node_of_radius(rings, by, radius);
    (ring_at(rings, node).unwrap_or_default(), node)
}

/// What opens from a rim into the end of another part that it is laid on, coaxial and turned alike: no wider and no
/// longer than either. Where a closed end is as wide as the rim, all of the rim lies on its surface.
fn narrower(rim: Ring, onto: Ring, onto_closed: bool) -> Ring {
    let half = half_width(rim).min(half_width(onto));
    if onto_closed && half >= half_width(rim) * (1.0 - 1e-9) {
        return rim;
    }
    let radius_mm = rim.radius_mm.min(onto.radius_mm);
    Ring { radius_mm, core_half_mm: half - radius_mm, ..rim }
}

/// Poses of all parts, in the toy's frame before it is set on the floor.
pub fn poses(toy: &Toy, shapes: &[Arc<PartShape>]) -> Vec<PiecePose> {
    let mut done: Vec<Option<PiecePose>> = vec![None; toy.pieces.len()];
    for index in 0..toy.pieces.len() {
        // Up the chain of seats, then back down: each parent before its child.
        let mut chain = vec![index];
        while let Some(parent) = parent_of(toy, chain[chain.len() - 1]) {
            if done[parent].is_some() || chain.contains(&parent) {
                break;
            }
            chain.push(parent);
        }
        while let Some(i) = chain.pop() {
            if done[i].is_none() {
                done[i] = Some(place(toy, shapes, i, &done));
            }
        }
    }
    // Until it is known what gives way, all that is firm bears.
    done.into_iter().flatten().map(|pose| PiecePose { bears: pose.firm, ..pose }).collect()
}

fn parent_of(toy: &Toy, index: usize) -> Option<usize> {
    toy.pieces[index].placement.seat.part().and_then(|name| toy.piece_named(name))
}

fn place(toy: &Toy, shapes: &[Arc<PartShape>], index: usize, done: &[Option<PiecePose>]) -> PiecePose {
    let (piece, shape) = (&toy.pieces[index], &shapes[index]);
    let by = fixed_by(piece);
    let mut pose = PiecePose {
        toy_from_part: Vec::new(),
        toy_from_upright: Vec::new(),
        unplaced: None,
        parent: None,
        seam: None,
        by,
        firm: false,
        limp: false,
        bears: false,
    };
    if shape.nodes.len() < 2 {
        pose.unplaced = Some(Unplaced::Empty);
        return pose;
    }
    let placement = &piece.placement;
    match &placement.seat {
        Seat::Beside => pose.unplaced = Some(Unplaced::Beside),
        Seat::Floor { x_mm, y_mm, .. } => {
            let end_z = if by == End::Start { 0 } else { shape.outer.rings.len() - 1 };
            let z = shape.outer.rings[end_z].z_mm;
            let turn = DMat3::from_rotation_z(finite(placement.turn_deg).to_radians());
            let at = DVec3::new(finite(*x_mm), finite(*y_mm), finite(placement.offset_mm));
            let motion = affine(tipped(placement) * turn, at);
            for motion in copies(placement.copies, motion, DAffine3::IDENTITY) {
                pose.toy_from_upright.push(motion);
                pose.toy_from_part.push(motion * upright_from_part(by, z));
            }
            pose.firm = shape.kind == ShapeKind::Stuffed;
        }
        Seat::OnEnd { .. } | Seat::OnSurface { .. } => {
            let Some(parent) = parent_of(toy, index) else {
                pose.unplaced = Some(Unplaced::NoParent);
                return pose;
            };
            let Some(parent_pose) = done[parent].as_ref() else {
                pose.unplaced = Some(Unplaced::Circle);
                return pose;
            };
            if parent_pose.unplaced.is_some() {
                pose.unplaced = Some(Unplaced::NoParent);
                return pose;
            }
            on_parent(toy, shapes, index, parent, parent_pose, &mut pose);
        }
    }
    pose
}

fn on_parent(
    toy: &Toy,
    shapes: &[Arc<PartShape>],
    index: usize,
    parent: usize,
    parent_pose: &PiecePose,
    pose: &mut PiecePose,
) {
    let (piece, shape, onto) = (&toy.pieces[index], &shapes[index], &shapes[parent]);
    let placement = &piece.placement;
    let (mut rim, own_node) = own_seam(piece, shape, pose.by, onto);
    if sewn_folded(piece) {
        let core_half_mm = rim.core_half_mm + std::f64::consts::FRAC_PI_2 * rim.radius_mm;
        rim = Ring { radius_mm: 0.0, core_half_mm, ..rim };
    }
    let own_z_mm = rim.z_mm;
    let mut section = rim;
    // The parent's own frame and its upright one differ by a shift and perhaps a flip along the axis.
    let flip = if parent_pose.by == End::Finish { -1.0 } else { 1.0 };
    let upright_of = |z: f64| upright_height(parent_pose, z);
    let (node, at, out) = match &placement.seat {
        Seat::OnEnd { end, .. } => {
            let last = (onto.nodes.len() - 1) as f64;
            let closed = match end {
                End::Start => onto.rest.start_closed,
                End::Finish => onto.rest.finish_closed,
            };
            let node = match (closed, end) {
                (false, End::Start) => 0.0,
                (false, End::Finish) => last,
                (true, _) => node_of_radius(&onto.nodes, *end, resting_half_mm(rim)),
            };
            let onto_ring = ring_at(&onto.nodes, node).unwrap_or_default();
            // Parts that another is worked around lie beside each other and open into it with their whole rims.
            if !matches!(&toy.pieces[parent].part.start, Start::JoinedParts { parts, .. } if parts.contains(&piece.part.name))
            {
                section = narrower(rim, onto_ring, closed);
            }
            let z = onto_ring.z_mm;
            let out = if *end == End::Start { -flip } else { flip };
            (
                node,
                DVec3::new(joined_offset_mm(toy, shapes, index, parent), 0.0, upright_of(z)),
                DVec3::new(0.0, 0.0, out),
            )
        }
        Seat::OnSurface { at: address, .. } => {
            let address = Address { round: finite(address.round), angle_deg: finite(address.angle_deg) };
            let Some(point) = surface_point(&onto.outer.rings, address) else { return };
            let depth = seat_depth_mm(&onto.outer.rings, address, resting_half_mm(rim));
            let mut at = point.at - point.out * depth;
            at.z = upright_of(at.z);
            (address.round, at, DVec3::new(point.out.x, point.out.y, point.out.z * flip))
        }
        Seat::Beside | Seat::Floor { .. } => return,
    };
    let turn = DMat3::from_rotation_z(finite(placement.turn_deg).to_radians());
    let motion = affine(tipped(placement) * facing(out) * turn, at);
    let motion = motion * DAffine3::from_translation(DVec3::new(0.0, 0.0, finite(placement.offset_mm)));
    for toy_from_parent in &parent_pose.toy_from_upright {
        // Copies on copies multiply: the rest of an absurd number is left out.
        if pose.toy_from_upright.len() >= MOST_PLACED {
            break;
        }
        for motion in copies(placement.copies, motion, *toy_from_parent) {
            pose.toy_from_upright.push(motion);
            pose.toy_from_part.push(motion * upright_from_part(pose.by, own_z_mm));
        }
    }
    pose.parent = Some(parent);
    pose.seam = Some(Seam { rim, section, own_node, onto_node: node, own_z_mm });
    let limp = shape.kind != ShapeKind::Stuffed || seam_is_empty(shape, own_node);
    pose.firm = parent_pose.firm && !limp && !hangs_loose(piece);
}

/// Height in a part's upright frame of a height in its own.
fn upright_height(pose: &PiecePose, own_z_mm: f64) -> f64 {
    let (Some(upright), Some(part)) = (pose.toy_from_upright.first(), pose.toy_from_part.first()) else {
        return own_z_mm;
    };
    (upright.inverse() * *part).transform_point3(DVec3::new(0.0, 0.0, own_z_mm)).z
}

/// Whether the rounds at a seam are left without stuffing.
fn seam_is_empty(shape: &PartShape, node: f64) -> bool {
    node > shape.filled_links as f64 + 0.5
}

/// How far from the axis a part sits that another was worked around, toward the left, mm.
fn joined_offset_mm(toy: &Toy, shapes: &[Arc<PartShape>], index: usize, parent: usize) -> f64 {
    let Start::JoinedParts { parts, chain } = &toy.pieces[parent].part.start else { return 0.0 };
    let name = &toy.pieces[index].part.name;
    let Some(position) = parts.iter().position(|p| p == name) else { return 0.0 };
    let w = shapes[parent].fabric.w_mm.value();
    let gap = f64::from(*chain) * w / 2.0;
    let rim = |i: usize| shapes[i].nodes.last().map_or(0.0, |r| r.radius_mm);
    if toy.pieces[index].placement.copies == Copies::MirroredPair || parts.len() < 2 {
        return rim(index) + gap / 2.0;
    }
    // Different parts in a row, each as wide as its rim, centred on the axis.
    let widths: Vec<f64> = parts.iter().map(|p| toy.piece_named(p).map_or(0.0, |i| 2.0 * rim(i))).collect();
    let whole: f64 = widths.iter().sum::<f64>() + gap * (widths.len() - 1) as f64;
    let before: f64 = widths[..position].iter().map(|w| w + gap).sum();
    before + widths[position] / 2.0 - whole / 2.0
}

/// The motions of all copies, from one that is given in the frame of `toy_from_parent`.
fn copies(copies: Copies, motion: DAffine3, toy_from_parent: DAffine3) -> Vec<DAffine3> {
    match copies {
        Copies::One => vec![toy_from_parent * motion],
        Copies::MirroredPair => {
            let mirror = DAffine3::from_mat3(DMat3::from_diagonal(DVec3::new(-1.0, 1.0, 1.0)));
            vec![toy_from_parent * motion, toy_from_parent * mirror * motion]
        }
        // More than any toy has; a file must not be able to exhaust the machine.
        Copies::Around(n) => (0..n.clamp(1, 200))
            .map(|i| {
                toy_from_parent
                    * DAffine3::from_rotation_z(std::f64::consts::TAU * f64::from(i) / f64::from(n.max(1)))
                    * motion
            })
            .collect(),
    }
}

/// Angle of a direction about an axis: 0 toward +y, 90 toward +x, degrees in (−180, 180].
pub fn azimuth_deg(direction: DVec3) -> f64 {
    let deg = direction.x.atan2(direction.y).to_degrees();
    // Rounding must not turn straight back into two different answers.
    if (deg + 180.0).abs() < 1e-9 { 180.0 } else { deg }
}
