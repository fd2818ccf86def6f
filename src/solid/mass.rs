//! Mass properties in closed form: filled bands between two rings, the fabric around them, lids, flat laminas,
//! points, and how they are put together and moved.
//!
//! Every band is a pair of rings with straight walls between them, so all integrands are polynomials of the
//! height and Gauss–Legendre sums of sufficient order give them exactly. A whole part is the sum of its bands:
//! `rings.windows(2).map(…).sum()`; what lies beyond round i is the sum of the bands from i on.

use std::f64::consts::PI;
use std::iter::Sum;
use std::ops::{Add, Sub};

use glam::{DAffine3, DMat3, DVec3};

use super::{Ring, Solid};

/// A mass, where its centre is, and how it is spread around that centre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MassProperties {
    /// Mass. Negative for what is taken away.
    pub mass_g: f64,
    /// Centre of mass. For no mass at all it has no meaning, but is a finite point.
    pub centre_mm: DVec3,
    /// Inertia tensor about the centre of mass, in the axes of the frame: the diagonal holds ∫(y²+z²) dm and
    /// so on, off the diagonal stands −∫xy dm and so on.
    pub inertia_g_mm2: DMat3,
}

impl Default for MassProperties {
    fn default() -> Self {
        Self::ZERO
    }
}

impl MassProperties {
    /// Nothing.
    pub const ZERO: Self = MassProperties { mass_g: 0.0, centre_mm: DVec3::ZERO, inertia_g_mm2: DMat3::ZERO };

    /// A mass without extent.
    pub fn point(mass_g: f64, at_mm: DVec3) -> Self {
        MassProperties { mass_g, centre_mm: at_mm, inertia_g_mm2: DMat3::ZERO }
    }

    /// Both together, in the same frame (parallel axes theorem). Masses that cancel to round-off give
    /// [`Self::ZERO`]: a sum over bands of either sign belongs in [`Sum`], which keeps the moments of partial
    /// sums that weigh nothing.
    #[allow(clippy::should_implement_trait)] // `Add` is implemented by this.
    pub fn add(self, other: Self) -> Self {
        if other.mass_g == 0.0 {
            return self;
        }
        if self.mass_g == 0.0 {
            return other;
        }
        [self, other].into_iter().sum()
    }

    /// This without the other, in the same frame. What is left of equal masses is [`Self::ZERO`].
    pub fn subtract(self, other: Self) -> Self {
        self.add(other.scaled(-1.0))
    }

    /// The same shape with all masses times `factor`.
    pub fn scaled(self, factor: f64) -> Self {
        MassProperties {
            mass_g: self.mass_g * factor,
            centre_mm: self.centre_mm,
            inertia_g_mm2: self.inertia_g_mm2 * factor,
        }
    }

    /// The same body seen from another frame. `to_from_here` keeps lengths: a rotation and a shift, with or
    /// without a reflection (I' = M·I·Mᵀ holds for every orthogonal M).
    pub fn transformed(self, to_from_here: &DAffine3) -> Self {
        let m = to_from_here.matrix3;
        MassProperties {
            mass_g: self.mass_g,
            centre_mm: to_from_here.transform_point3(self.centre_mm),
            inertia_g_mm2: m * self.inertia_g_mm2 * m.transpose(),
        }
    }

    /// Second moments ∫ x xᵀ dm about the centre of mass.
    fn second_moments(&self) -> DMat3 {
        let trace = self.inertia_g_mm2.x_axis.x + self.inertia_g_mm2.y_axis.y + self.inertia_g_mm2.z_axis.z;
        DMat3::from_diagonal(DVec3::splat(0.5 * trace)) - self.inertia_g_mm2
    }
}

impl Add for MassProperties {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        MassProperties::add(self, other)
    }
}

impl Sub for MassProperties {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self.subtract(other)
    }
}

impl Sum for MassProperties {
    fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
        // Moments about the first body's centre: close to all the others, so little is lost by cancellation,
        // and they stay additive when the masses seen so far add up to nothing.
        let mut about: Option<DVec3> = None;
        let (mut mass, mut size) = (0.0, 0.0);
        let (mut first, mut second) = (DVec3::ZERO, DMat3::ZERO);
        for item in items.filter(|i| i.mass_g != 0.0) {
            let from = *about.get_or_insert(item.centre_mm);
            let d = item.centre_mm - from;
            mass += item.mass_g;
            size += item.mass_g.abs();
            first += d * item.mass_g;
            second += item.second_moments() + outer(d, d * item.mass_g);
        }
        let Some(from) = about else { return Self::ZERO };
        if mass.abs() <= 1e-14 * size {
            return Self::ZERO;
        }
        let d = first / mass;
        let s = second - outer(d, first);
        let trace = s.x_axis.x + s.y_axis.y + s.z_axis.z;
        let inertia = DMat3::from_diagonal(DVec3::splat(trace)) - s;
        MassProperties { mass_g: mass, centre_mm: from + d, inertia_g_mm2: (inertia + inertia.transpose()) * 0.5 }
    }
}

impl<'a> Sum<&'a MassProperties> for MassProperties {
    fn sum<I: Iterator<Item = &'a MassProperties>>(items: I) -> Self {
        items.copied().sum()
    }
}

/// a·bᵀ.
fn outer(a: DVec3, b: DVec3) -> DMat3 {
    DMat3::from_cols(a * b.x, a * b.y, a * b.z)
}

/// Moments of a body that is symmetric to the planes x = 0 and y = 0, about a height of its own: ∫1, ∫z, ∫z²,
/// ∫x², ∫y² with any weight.
#[derive(Clone, Copy, Default)]
struct Moments {
    one: f64,
    z: f64,
    zz: f64,
    xx: f64,
    yy: f64,
}

impl Moments {
    /// Adds a slice at height `z`: its weight and its own ∫x² and ∫y², all times `share`.
    fn slice(&mut self, share: f64, z: f64, [one, xx, yy]: [f64; 3]) {
        self.one += share * one;
        self.z += share * one * z;
        self.zz += share * one * z * z;
        self.xx += share * xx;
        self.yy += share * yy;
    }

    /// The mass spread over these moments; `z_mm` is the height they were taken about.
    fn with_mass(self, mass_g: f64, z_mm: f64) -> MassProperties {
        let (z, xx, yy) = (self.z / self.one, self.xx / self.one, self.yy / self.one);
        let zz = (self.zz / self.one - z * z).max(0.0);
        MassProperties {
            mass_g,
            centre_mm: DVec3::new(0.0, 0.0, z_mm + z),
            inertia_g_mm2: DMat3::from_diagonal(DVec3::new(yy + zz, xx + zz, xx + yy) * mass_g),
        }
    }
}

/// Gauss–Legendre on 0..1, exact to degree 3 (Abramowitz & Stegun, table 25.4).
fn gauss_2() -> [(f64, f64); 2] {
    let d = 0.5 / 3f64.sqrt();
    [(0.5 - d, 0.5), (0.5 + d, 0.5)]
}

/// Gauss–Legendre on 0..1, exact to degree 5 (Abramowitz & Stegun, table 25.4).
fn gauss_3() -> [(f64, f64); 3] {
    let d = 0.5 * 0.6f64.sqrt();
    [(0.5 - d, 5.0 / 18.0), (0.5, 8.0 / 18.0), (0.5 + d, 5.0 / 18.0)]
}

/// Half of the 8-point Gauss–Legendre rule on −1..1 (Abramowitz & Stegun, table 25.4): node, weight.
const GAUSS_8: [(f64, f64); 4] = [
    (0.183_434_642_495_650, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887),
    (0.796_666_477_413_627, 0.222_381_034_453_374),
    (0.960_289_856_497_536, 0.101_228_536_290_376),
];

impl Ring {
    /// The ring between two, `t` = 0 at `a` and 1 at `b`.
    fn between(a: Ring, b: Ring, t: f64) -> Ring {
        let mix = |p: f64, q: f64| p + (q - p) * t;
        Ring {
            z_mm: mix(a.z_mm, b.z_mm),
            radius_mm: mix(a.radius_mm, b.radius_mm),
            core_half_mm: mix(a.core_half_mm, b.core_half_mm),
        }
    }

    /// Area inside the ring: π·r² + 4·r·c.
    pub fn area_mm2(&self) -> f64 {
        self.radius_mm * (PI * self.radius_mm + 4.0 * self.core_half_mm)
    }

    /// Length around the ring: 2π·r + 4·c.
    pub fn perimeter_mm(&self) -> f64 {
        2.0 * PI * self.radius_mm + 4.0 * self.core_half_mm
    }

    /// Area, ∫x² and ∫y² of the area inside the ring about its centre: a rectangle 2c × 2r and two half discs
    /// whose centres of area lie 4r/3π beyond ±c.
    fn area_moments(&self) -> [f64; 3] {
        let (r, c) = (self.radius_mm, self.core_half_mm);
        let disc = PI * r.powi(4) / 4.0;
        let xx = disc + c * (8.0 / 3.0 * r.powi(3) + PI * c * r * r + 4.0 / 3.0 * c * c * r);
        [self.area_mm2(), xx, disc + 4.0 / 3.0 * c * r.powi(3)]
    }
}

/// The filled band between two rings, of the given density (1 g/L is 1e-6 g/mm³). Exact, for circles and for
/// stadium sections. Signed: going down (`b` below `a`) it is negative, so that an outline followed out and
/// back gives the solid between. Rings at one height hold nothing.
#[inline(always)] // What is not asked for of it is then not worked out.
pub fn frustum_solid(a: Ring, b: Ring, density_g_per_mm3: f64) -> MassProperties {
    let middle = 0.5 * (a.z_mm + b.z_mm);
    let rise = b.z_mm - a.z_mm;
    let mut moments = Moments::default();
    for (t, weight) in gauss_3() {
        moments.slice(weight * rise, (t - 0.5) * rise, Ring::between(a, b, t).area_moments());
    }
    if moments.one == 0.0 {
        return MassProperties::point(0.0, DVec3::new(0.0, 0.0, middle));
    }
    moments.with_mass(moments.one * density_g_per_mm3, middle)
}

/// Volume of the band between two rings, signed like [`frustum_solid`].
pub fn frustum_volume_mm3(a: Ring, b: Ring) -> f64 {
    // Simpson's rule, exact for the quadratic section area.
    (b.z_mm - a.z_mm) * (a.area_mm2() + 4.0 * Ring::between(a, b, 0.5).area_mm2() + b.area_mm2()) / 6.0
}

/// Area of the wall between two rings, without lids. Rings at one height give the flat annulus between them.
/// Exact where the core keeps its length; where it changes, the bend of the rounded ends is summed at 8 points a
/// quarter: to 1e-6 of the area while the ends' walls slope one way, to 2 % of a nearly flat band whose ends turn
/// from widening to narrowing on their way round.
pub fn frustum_lateral_area_mm2(a: Ring, b: Ring) -> f64 {
    wall_moments(a, b, false).one
}

/// The fabric of one round: a mass spread evenly over the wall between two rings. As exact as
/// [`frustum_lateral_area_mm2`]. Rings that coincide give a hoop, poles (radius 0) a straight thread.
#[inline(always)] // What is not asked for of it is then not worked out.
pub fn frustum_shell(a: Ring, b: Ring, mass_g: f64) -> MassProperties {
    let middle = 0.5 * (a.z_mm + b.z_mm);
    let mut moments = wall_moments(a, b, false);
    if moments.one <= 0.0 {
        moments = wall_moments(a, b, true);
    }
    if moments.one <= 0.0 {
        for (t, weight) in gauss_2() {
            moments.slice(weight, (t - 0.5) * (b.z_mm - a.z_mm), [1.0, 0.0, 0.0]);
        }
    }
    moments.with_mass(mass_g, middle)
}

/// Moments of the wall about half its height. The wall is x = c + r·cos φ, y = r·sin φ at the rounded ends,
/// where an element is r·√(z'² + (r' + c'·cos φ)²) dφ dt, and the sides |x| ≤ c, y = ±r, with √(z'² + r'²) dx dt.
/// As a hoop every element counts its length around only.
#[inline(always)] // What is not asked for of it is then not worked out.
fn wall_moments(a: Ring, b: Ring, hoop: bool) -> Moments {
    let (dz, dr) = (b.z_mm - a.z_mm, b.radius_mm - a.radius_mm);
    let dc = b.core_half_mm - a.core_half_mm;
    let slant = |outward: f64| if hoop { 1.0 } else { (dz * dz + outward * outward).sqrt() };
    let mut moments = Moments::default();
    for (t, weight) in gauss_2() {
        let Ring { radius_mm: r, core_half_mm: c, .. } = Ring::between(a, b, t);
        let z = (t - 0.5) * dz;
        let side = 4.0 * c * slant(dr);
        moments.slice(weight, z, [side, side * c * c / 3.0, side * r * r]);
        if dc == 0.0 {
            let arc = r * slant(dr);
            let xx = arc * (2.0 * PI * c * c + 8.0 * c * r + PI * r * r);
            moments.slice(weight, z, [2.0 * PI * arc, xx, PI * arc * r * r]);
            continue;
        }
        for (node, share) in GAUSS_8.into_iter().flat_map(|(x, w)| [(x, w), (-x, w)]) {
            let (sin, cos) = (PI / 4.0 * (1.0 + node)).sin_cos();
            // Four quarters of π/2; the rule's weights add up to 2.
            let arc = PI * share * r * slant(dr + dc * cos);
            moments.slice(weight, z, [arc, arc * (c + r * cos).powi(2), arc * (r * sin).powi(2)]);
        }
    }
    moments
}

/// A flat lid: a mass spread evenly over the area inside a ring. Exact. A ring without area gives a straight
/// thread as long as its core.
pub fn lid(ring: Ring, mass_g: f64) -> MassProperties {
    let c = ring.core_half_mm;
    let mut area = ring.area_moments();
    if area[0] <= 0.0 {
        area = [1.0, c * c / 3.0, 0.0];
    }
    let mut moments = Moments::default();
    moments.slice(1.0, 0.0, area);
    moments.with_mass(mass_g, ring.z_mm)
}

/// One edge of a flat piece: from −`half_width_mm` to +`half_width_mm` along local x, at height `z_mm`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LaminaEdge {
    /// Height along local z.
    pub z_mm: f64,
    /// Half the width.
    pub half_width_mm: f64,
}

/// One round of a part folded flat: a mass (of all its layers) spread evenly over the trapezoid between two
/// edges, in the plane y = 0, without thickness. Exact. Edges at one height give a straight thread.
pub fn lamina_band(a: LaminaEdge, b: LaminaEdge, mass_g: f64) -> MassProperties {
    let rise = b.z_mm - a.z_mm;
    let flat = a.half_width_mm + b.half_width_mm <= 0.0;
    let mut moments = Moments::default();
    for (t, weight) in gauss_2() {
        let half = a.half_width_mm + (b.half_width_mm - a.half_width_mm) * t;
        let width = if flat { 1.0 } else { half };
        moments.slice(weight, (t - 0.5) * rise, [width, width * half * half / 3.0, 0.0]);
    }
    moments.with_mass(mass_g, 0.5 * (a.z_mm + b.z_mm))
}

/// A whole flat piece: `mass_g[i]` lies between `edges[i]` and `edges[i + 1]`; masses without a band are left
/// out.
pub fn lamina(edges: &[LaminaEdge], mass_g: &[f64]) -> MassProperties {
    edges.windows(2).zip(mass_g).map(|(pair, &mass)| lamina_band(pair[0], pair[1], mass)).sum()
}

impl Solid {
    /// The solid filled evenly: the sum of its bands, in its own frame. Exact.
    pub fn filled(&self, density_g_per_mm3: f64) -> MassProperties {
        self.rings.windows(2).map(|pair| frustum_solid(pair[0], pair[1], density_g_per_mm3)).sum()
    }

    /// Volume inside the walls. Exact.
    pub fn volume_mm3(&self) -> f64 {
        self.rings.windows(2).map(|pair| frustum_volume_mm3(pair[0], pair[1])).sum()
    }

    /// Area of the walls, the flat lids of open ends left out.
    pub fn lateral_area_mm2(&self) -> f64 {
        self.rings.windows(2).map(|pair| frustum_lateral_area_mm2(pair[0], pair[1])).sum()
    }
}
