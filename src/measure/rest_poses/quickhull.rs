//! The convex hull of points in general position, as triangles that know their neighbours (C. B. Barber, D. P.
//! Dobkin & H. Huhdanpaa, The quickhull algorithm for convex hulls, ACM Trans. Math. Softw. 22, 1996).

use std::collections::HashMap;

use glam::DVec3;

/// A triangle of the hull.
#[derive(Clone, Debug)]
pub(super) struct Triangle {
    /// Indices of its corners, turning left as seen from outside.
    pub corners: [usize; 3],
    /// The triangle across the edge from corner k to the next.
    pub beyond: [usize; 3],
    normal: DVec3,
    offset: f64,
    /// Points in front of it that no other triangle took.
    outside: Vec<usize>,
    alive: bool,
}

impl Triangle {
    fn new(points: &[DVec3], corners: [usize; 3]) -> Option<Self> {
        let [a, b, c] = corners.map(|i| points[i]);
        let normal = (b - a).cross(c - a).try_normalize()?;
        Some(Self { corners, beyond: [usize::MAX; 3], normal, offset: normal.dot(a), outside: vec![], alive: true })
    }

    fn height(&self, point: DVec3) -> f64 {
        self.normal.dot(point) - self.offset
    }
}

/// The hull's triangles. `None` if the points span no volume or round-off spoils the surface.
pub(super) fn hull(points: &[DVec3]) -> Option<Vec<Triangle>> {
    let mut all = first_four(points)?;
    let extent = points.iter().map(|p| (*p - points[0]).abs().max_element()).fold(0.0, f64::max);
    let within = 1e-13 * extent;
    share_out(points, &mut all, 0, 0..points.len(), within);
    let mut next = 0;
    // Triangles are only appended, so one walk meets every triangle that still has points in front of it.
    while next < all.len() {
        let seen = &all[next];
        let top =
            seen.outside.iter().copied().max_by(|&a, &b| seen.height(points[a]).total_cmp(&seen.height(points[b])));
        match top {
            Some(top) if seen.alive => raise(points, &mut all, next, top, within)?,
            _ => {}
        }
        next += 1;
    }
    compact(all)
}

fn furthest(points: &[DVec3], measure: impl Fn(DVec3) -> f64) -> Option<usize> {
    (0..points.len()).max_by(|&a, &b| measure(points[a]).total_cmp(&measure(points[b])))
}

/// A tetrahedron to start from.
fn first_four(points: &[DVec3]) -> Option<Vec<Triangle>> {
    let a = furthest(points, |p| -p.x)?;
    let b = furthest(points, |p| p.distance_squared(points[a]))?;
    let line = (points[b] - points[a]).try_normalize()?;
    let c = furthest(points, |p| (p - points[a]).cross(line).length_squared())?;
    let normal = (points[b] - points[a]).cross(points[c] - points[a]).try_normalize()?;
    let d = furthest(points, |p| (p - points[a]).dot(normal).abs())?;
    let rise = (points[d] - points[a]).dot(normal);
    if rise == 0.0 {
        return None;
    }
    // The base looks away from the fourth point.
    let (b, c) = if rise > 0.0 { (c, b) } else { (b, c) };
    let mut four = Vec::with_capacity(4);
    for (corners, beyond) in
        [([a, b, c], [1, 2, 3]), ([b, a, d], [0, 3, 2]), ([c, b, d], [0, 1, 3]), ([a, c, d], [0, 2, 1])]
    {
        four.push(Triangle { beyond, ..Triangle::new(points, corners)? });
    }
    Some(four)
}

/// Gives each point to one of the triangles from `first` on that it lies in front of.
fn share_out(points: &[DVec3], all: &mut [Triangle], first: usize, whom: impl IntoIterator<Item = usize>, within: f64) {
    for index in whom {
        if let Some(face) = all[first..].iter_mut().find(|t| t.height(points[index]) > within) {
            face.outside.push(index);
        }
    }
}

/// Takes a point in front of a triangle into the hull: the triangles it sees give way to a cone over their rim.
fn raise(points: &[DVec3], all: &mut Vec<Triangle>, from: usize, top: usize, within: f64) -> Option<()> {
    let mut seen = vec![from];
    let mut rim: Vec<(usize, usize, usize)> = Vec::new();
    let mut orphans = std::mem::take(&mut all[from].outside);
    all[from].alive = false;
    let mut at = 0;
    while at < seen.len() {
        let (corners, beyond) = (all[seen[at]].corners, all[seen[at]].beyond);
        for k in 0..3 {
            let other = beyond[k];
            if !all[other].alive {
                continue;
            }
            if all[other].height(points[top]) > within {
                all[other].alive = false;
                orphans.append(&mut all[other].outside);
                seen.push(other);
            } else {
                rim.push((corners[k], corners[(k + 1) % 3], other));
            }
        }
        at += 1;
    }
    let first = all.len();
    let mut starting: HashMap<usize, usize> = HashMap::with_capacity(rim.len());
    for (i, &(a, b, other)) in rim.iter().enumerate() {
        let mut cone = Triangle::new(points, [a, b, top])?;
        cone.beyond[0] = other;
        let edge = (0..3).find(|&k| all[other].corners[k] == b && all[other].corners[(k + 1) % 3] == a)?;
        all[other].beyond[edge] = first + i;
        // A rim that passes a corner twice is no simple loop.
        if starting.insert(a, first + i).is_some() {
            return None;
        }
        all.push(cone);
    }
    for i in first..all.len() {
        let next = *starting.get(&all[i].corners[1])?;
        all[i].beyond[1] = next;
        all[next].beyond[2] = i;
    }
    share_out(points, all, first, orphans.into_iter().filter(|&p| p != top), within);
    Some(())
}

/// Leaves out the triangles that gave way.
fn compact(all: Vec<Triangle>) -> Option<Vec<Triangle>> {
    let mut place = vec![usize::MAX; all.len()];
    let mut count = 0;
    for (slot, triangle) in place.iter_mut().zip(&all) {
        if triangle.alive {
            *slot = count;
            count += 1;
        }
    }
    let kept: Vec<Triangle> = (all.into_iter().filter(|t| t.alive))
        .map(|t| Triangle { beyond: t.beyond.map(|b| place.get(b).copied().unwrap_or(usize::MAX)), ..t })
        .collect();
    kept.iter().all(|t| t.beyond.iter().all(|&b| b < kept.len())).then_some(kept)
}
