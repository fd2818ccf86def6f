//! Mass properties of bands, lids and laminas against handbook formulas and a triangle-mesh library.
//!
//! Handbook: centroids and moments of inertia of homogeneous bodies as printed in any engineering-mechanics
//! handbook (e.g. Meriam & Kraige, Engineering Mechanics: Dynamics, appendix D). Pappus–Guldinus: volume and
//! area of revolution are the area and length of the profile times the way of its centroid.
//! Library: parry3d-f64, mass properties of a closed triangle mesh.

use std::f64::consts::PI;

use glam::{DAffine3, DMat3, DQuat, DVec3};
use parry3d_f64::mass_properties::MassProperties as MeshMass;
use toppleknot::solid::mass::{
    LaminaEdge, MassProperties, frustum_lateral_area_mm2, frustum_shell, frustum_solid, frustum_volume_mm3, lamina, lid,
};
use toppleknot::solid::overlap::overlap;
use toppleknot::solid::{Placed, Ring, Solid};

fn close(got: f64, want: f64, within: f64) {
    assert!((got - want).abs() <= within, "{got} is not {want} within {within}");
}

fn round(z_mm: f64, radius_mm: f64) -> Ring {
    Ring { z_mm, radius_mm, core_half_mm: 0.0 }
}

/// A meridian r(s), z(s) cut into `n` bands.
fn revolved(n: u32, profile: impl Fn(f64) -> (f64, f64)) -> Vec<Ring> {
    let ring = |i| {
        let (r, z) = profile(f64::from(i) / f64::from(n));
        round(z, r)
    };
    (0..=n).map(ring).collect()
}

fn filled(rings: &[Ring]) -> MassProperties {
    rings.windows(2).map(|p| frustum_solid(p[0], p[1], 1.0)).sum()
}

/// Fabric of even weight, 1 g/mm².
fn skin(rings: &[Ring]) -> MassProperties {
    rings.windows(2).map(|p| frustum_shell(p[0], p[1], frustum_lateral_area_mm2(p[0], p[1]))).sum()
}

fn diagonal(m: &MassProperties) -> [f64; 3] {
    let i = m.inertia_g_mm2;
    [i.x_axis.x, i.y_axis.y, i.z_axis.z]
}

fn all_close(got: [f64; 3], want: [f64; 3], share: f64) {
    let size = want.iter().fold(0.0f64, |m, w| m.max(w.abs()));
    for (g, w) in got.iter().zip(want) {
        close(*g, w, share * size);
    }
}

/// Radii 3 and 1, height 4: V = πh(R² + Rr + r²)/3, centroid h(R² + 2Rr + 3r²)/4(R² + Rr + r²), centroid of the
/// lateral area h(R + 2r)/3(R + r). Handbook; to the printed digits.
#[test]
fn frustum() {
    let (a, b) = (round(0.0, 3.0), round(4.0, 1.0));
    let solid = frustum_solid(a, b, 1.0);
    close(solid.mass_g, 54.4543, 5e-5);
    close(frustum_volume_mm3(a, b), 54.4543, 5e-5);
    close(solid.centre_mm.z, 1.38462, 5e-6);
    close(frustum_shell(a, b, 7.0).centre_mm.z, 1.66667, 5e-6);
    close(frustum_lateral_area_mm2(a, b), PI * 4.0 * 20f64.sqrt(), 1e-12 * 60.0);
    // Axial inertia 3m(R⁵ − r⁵)/10(R³ − r³).
    close(diagonal(&solid)[2], solid.mass_g * 0.3 * (243.0 - 1.0) / (27.0 - 1.0), 1e-10);
}

/// Cone, apex up: h/4 solid, h/3 shell; 3mr²/10 about its axis, 3m(4r² + h²)/80 across it through the centroid;
/// shell: mr²/2 about the axis, m(9r² + 2h²)/36 across. Handbook; to round-off.
#[test]
fn cone() {
    let (r, h, m) = (5.0f64, 12.0f64, 3.0);
    let (a, b) = (round(0.0, r), round(h, 0.0));
    let solid = frustum_solid(a, b, m / (PI * r * r * h / 3.0));
    close(solid.centre_mm.z, h / 4.0, 1e-12);
    let across = 3.0 * m * (4.0 * r * r + h * h) / 80.0;
    all_close(diagonal(&solid), [across, across, 0.3 * m * r * r], 1e-12);
    let shell = frustum_shell(a, b, m);
    close(shell.centre_mm.z, h / 3.0, 1e-12);
    let across = m * (9.0 * r * r + 2.0 * h * h) / 36.0;
    all_close(diagonal(&shell), [across, across, 0.5 * m * r * r], 1e-12);
}

/// Cylinder: solid m(3r² + h²)/12, mr²/2; shell m(6r² + h²)/12, mr². Disc mr²/4, mr²/2. Annulus about its axis
/// m(R² + r²)/2. Hoop mr². Rod mL²/12. Handbook; to round-off.
#[test]
fn cylinder_disc_annulus_hoop_rod() {
    let (r, h, m) = (4.0f64, 9.0f64, 2.0);
    let (a, b) = (round(-2.0, r), round(-2.0 + h, r));
    let solid = frustum_solid(a, b, m / (PI * r * r * h));
    let across = m * (3.0 * r * r + h * h) / 12.0;
    all_close(diagonal(&solid), [across, across, 0.5 * m * r * r], 1e-12);
    close(solid.centre_mm.z, 2.5, 1e-12);
    let across = m * (6.0 * r * r + h * h) / 12.0;
    all_close(diagonal(&frustum_shell(a, b, m)), [across, across, m * r * r], 1e-12);
    let disc = [m * r * r / 4.0, m * r * r / 4.0, m * r * r / 2.0];
    all_close(diagonal(&lid(a, m)), disc, 1e-12);
    all_close(diagonal(&frustum_shell(round(-2.0, 0.0), a, m)), disc, 1e-12);
    let axial = m * (7.0 * 7.0 + r * r) / 2.0;
    let annulus = frustum_shell(a, round(-2.0, 7.0), m);
    all_close(diagonal(&annulus), [axial / 2.0, axial / 2.0, axial], 1e-12);
    close(frustum_lateral_area_mm2(a, round(-2.0, 7.0)), PI * (49.0 - r * r), 1e-10);
    all_close(diagonal(&frustum_shell(a, a, m)), [m * r * r / 2.0, m * r * r / 2.0, m * r * r], 1e-12);
    let rod = frustum_shell(round(0.0, 0.0), round(h, 0.0), m);
    all_close(diagonal(&rod), [m * h * h / 12.0, m * h * h / 12.0, 0.0], 1e-12);
    assert_eq!(frustum_solid(a, round(-2.0, 7.0), 1.0).mass_g, 0.0);
}

/// Hemisphere: centroid 3R/8 solid, R/2 shell; sphere 2mR²/5 solid, 2mR²/3 shell. Handbook; 2,000 bands leave a
/// share below 1e-6.
#[test]
fn hemisphere_and_sphere() {
    let r = 11.0;
    let half = revolved(2000, |s| (r * (PI / 2.0 * s).cos(), r * (PI / 2.0 * s).sin()));
    close(filled(&half).centre_mm.z, 3.0 * r / 8.0, 1e-6 * r);
    close(skin(&half).centre_mm.z, r / 2.0, 1e-6 * r);
    close(filled(&half).mass_g, 2.0 / 3.0 * PI * r * r * r, 1e-6 * 2800.0);
    let ball = revolved(4000, |s| (r * (PI * s).sin(), -r * (PI * s).cos()));
    let solid = filled(&ball);
    all_close(diagonal(&solid), [0.4 * solid.mass_g * r * r; 3], 2e-6);
    let shell = skin(&ball);
    close(shell.mass_g, 4.0 * PI * r * r, 2e-6 * 1500.0);
    all_close(diagonal(&shell), [2.0 / 3.0 * shell.mass_g * r * r; 3], 2e-6);
}

/// Torus: V = 2π²Ra², area 4π²Ra (Pappus–Guldinus); axial inertia m(4R² + 3a²)/4, across m(4R² + 5a²)/8
/// (handbook). The circle is followed all round: bands going down count negative. 4,000 bands, share below 2e-6.
#[test]
fn torus() {
    let (big, a) = (20.0, 6.0);
    let rings = revolved(4000, |s| (big + a * (2.0 * PI * s).cos(), 5.0 + a * (2.0 * PI * s).sin()));
    let solid = filled(&rings);
    close(solid.mass_g / (2.0 * PI * PI * big * a * a), 1.0, 2e-6);
    close(solid.centre_mm.z, 5.0, 1e-9);
    let across = solid.mass_g * (4.0 * big * big + 5.0 * a * a) / 8.0;
    let axial = solid.mass_g * (4.0 * big * big + 3.0 * a * a) / 4.0;
    all_close(diagonal(&solid), [across, across, axial], 2e-6);
    close(skin(&rings).mass_g / (4.0 * PI * PI * big * a), 1.0, 2e-6);
}

/// Pappus–Guldinus on a lopsided closed profile, a triangle off the axis: its area 12, centroid radius
/// (3 + 9 + 4)/3; its sides 6, √41, √17 at mean radii 6, 6.5, 3.5. To round-off.
#[test]
fn pappus_on_a_lopsided_triangle() {
    let rings = [round(1.0, 3.0), round(1.0, 9.0), round(5.0, 4.0), round(1.0, 3.0)];
    close(filled(&rings).mass_g, 2.0 * PI * (16.0 / 3.0) * 12.0, 1e-10);
    close(filled(&rings).centre_mm.z, centroid_of_triangle_ring(), 1e-10);
    let way = 6.0 * 6.0 + 41f64.sqrt() * 6.5 + 17f64.sqrt() * 3.5;
    close(skin(&rings).mass_g, 2.0 * PI * way, 1e-10);
}

/// Height of the centre of the ring above: ∫z·r dA/∫r dA over the triangle, by the edge-midpoint rule, which is
/// exact for quadratics.
fn centroid_of_triangle_ring() -> f64 {
    let corners = [(3.0, 1.0), (9.0, 1.0), (4.0, 5.0)];
    let (mut weight, mut moment) = (0.0, 0.0);
    for k in 0..3 {
        let (p, q): ((f64, f64), (f64, f64)) = (corners[k], corners[(k + 1) % 3]);
        let (r, z) = ((p.0 + q.0) / 2.0, (p.1 + q.1) / 2.0);
        weight += r;
        moment += r * z;
    }
    moment / weight
}

/// Rectangle m(a² + b²)/12 and isosceles triangle mh²/18, mb²/24 (handbook); to round-off.
#[test]
fn flat_pieces() {
    let edge = |z_mm, half_width_mm| LaminaEdge { z_mm, half_width_mm };
    let m = 1.7;
    let rectangle = lamina(&[edge(0.0, 3.0), edge(2.0, 3.0), edge(8.0, 3.0)], &[m * 0.25, m * 0.75]);
    all_close(diagonal(&rectangle), [m * 64.0 / 12.0, m * (36.0 + 64.0) / 12.0, m * 36.0 / 12.0], 1e-12);
    close(rectangle.centre_mm.z, 4.0, 1e-12);
    let triangle = lamina(&[edge(1.0, 5.0), edge(13.0, 0.0)], &[m]);
    let (height, width) = (m * 144.0 / 18.0, m * 100.0 / 24.0);
    all_close(diagonal(&triangle), [height, height + width, width], 1e-12);
    close(triangle.centre_mm.z, 5.0, 1e-12);
}

/// Segments around the section of a mesh. A polygon of n sides inside a circle has (2π²/3n²) less area: 0.1 %
/// of volume and inertia needs 116 and more.
const SEGMENTS: usize = 240;

/// The closed triangle mesh of a solid, its lids fanned from their centres.
fn mesh(solid: &Solid, toy_from_part: &DAffine3) -> (Vec<DVec3>, Vec<[u32; 3]>) {
    let mut points = Vec::new();
    let mut triangles: Vec<[u32; 3]> = Vec::new();
    let n = SEGMENTS as u32;
    let rings = &solid.rings;
    for r in rings {
        for k in 0..SEGMENTS {
            // Half a step off, so that no point lies where the rounded ends meet the straight sides.
            let angle = 2.0 * PI * (k as f64 + 0.5) / SEGMENTS as f64;
            let core = if angle.cos() > 0.0 { r.core_half_mm } else { -r.core_half_mm };
            points.push(DVec3::new(core + r.radius_mm * angle.cos(), r.radius_mm * angle.sin(), r.z_mm));
        }
    }
    for level in 0..(rings.len() as u32 - 1) {
        for k in 0..n {
            let (a, b) = (level * n + k, level * n + (k + 1) % n);
            triangles.push([a, b, b + n]);
            triangles.push([a, b + n, a + n]);
        }
    }
    let last = rings.len() as u32 - 1;
    for (level, up) in [(0, false), (last, true)] {
        let centre = points.len() as u32;
        points.push(DVec3::new(0.0, 0.0, rings[level as usize].z_mm));
        for k in 0..n {
            let (a, b) = (level * n + k, level * n + (k + 1) % n);
            triangles.push(if up { [centre, a, b] } else { [centre, b, a] });
        }
    }
    (points.into_iter().map(|p| toy_from_part.transform_point3(p)).collect(), triangles)
}

fn mesh_mass(density: f64, points: &[DVec3], triangles: &[[u32; 3]]) -> MassProperties {
    let points: Vec<_> = points.iter().map(|p| parry3d_f64::math::Vector::new(p.x, p.y, p.z)).collect();
    let mass = MeshMass::from_trimesh(density, &points, triangles);
    let inertia = mass.reconstruct_inertia_matrix().to_cols_array();
    let centre = mass.local_com;
    MassProperties {
        mass_g: mass.mass(),
        centre_mm: DVec3::new(centre.x, centre.y, centre.z),
        inertia_g_mm2: DMat3::from_cols_array(&inertia),
    }
}

/// To 0.1 %: mass; centre within 0.1 % of the radius of gyration; each entry of the inertia tensor of its norm.
fn same_body(got: &MassProperties, want: &MassProperties, what: &str) {
    let share = 1e-3;
    let norm = |m: DMat3| m.to_cols_array().iter().map(|v| v * v).sum::<f64>().sqrt();
    assert!((got.mass_g / want.mass_g - 1.0).abs() < share, "{what}: mass {} against {}", got.mass_g, want.mass_g);
    let reach = (norm(want.inertia_g_mm2) / want.mass_g).sqrt();
    let off = got.centre_mm.distance(want.centre_mm);
    assert!(off < share * reach, "{what}: centre {} against {}", got.centre_mm, want.centre_mm);
    let off = norm(got.inertia_g_mm2 - want.inertia_g_mm2) / norm(want.inertia_g_mm2);
    assert!(off < share, "{what}: {} against {}", got.inertia_g_mm2, want.inertia_g_mm2);
}

fn pear() -> Solid {
    let bumps =
        [(0.0, 0.0), (2.0, 9.0), (8.0, 16.0), (17.0, 18.5), (27.0, 15.0), (34.0, 8.0), (41.0, 9.5), (47.0, 6.0)];
    Solid { rings: bumps.into_iter().map(|(z, r)| round(z, r)).collect() }
}

fn oval() -> Solid {
    let rings =
        [(0.0, 0.0, 9.0), (1.5, 6.0, 9.0), (6.0, 9.0, 8.0), (15.0, 10.0, 5.0), (24.0, 7.0, 2.0), (29.0, 2.0, 0.0)];
    Solid {
        rings: rings
            .into_iter()
            .map(|(z_mm, radius_mm, core_half_mm)| Ring { z_mm, radius_mm, core_half_mm })
            .collect(),
    }
}

fn poses() -> [(&'static str, DAffine3); 3] {
    let turn = DQuat::from_axis_angle(DVec3::new(0.3, -0.8, 0.5).normalize(), 1.1);
    let placed = DAffine3::from_rotation_translation(turn, DVec3::new(31.0, -12.0, 55.0));
    let mirror = DAffine3::from_scale(DVec3::new(-1.0, 1.0, 1.0));
    [("own frame", DAffine3::IDENTITY), ("turned and shifted", placed), ("mirrored", mirror * placed)]
}

/// Every solid in every pose against the mesh library, to 0.1 %. A mirrored mesh is turned inside out, which the
/// library takes into account by its sign.
#[test]
fn solids_against_the_mesh_library() {
    for (name, solid) in [("pear", pear()), ("oval", oval())] {
        for (pose_name, pose) in poses() {
            let (points, triangles) = mesh(&solid, &pose);
            let want = mesh_mass(0.045, &points, &triangles);
            let got = solid.filled(0.045).transformed(&pose);
            same_body(&got, &want, &format!("{name}, {pose_name}"));
        }
    }
}

/// A lopsided assembly as one mesh of many closed shells, of one density, against the sum, to 0.1 %.
#[test]
fn a_lopsided_assembly_against_the_mesh_library() {
    let [(_, own), (_, placed), (_, mirrored)] = poses();
    let far = DAffine3::from_rotation_translation(DQuat::from_rotation_y(0.7), DVec3::new(-40.0, 5.0, -8.0));
    let parts = [(pear(), own), (oval(), placed), (pear(), far), (oval(), far * placed)];
    let (mut points, mut triangles) = (Vec::new(), Vec::new());
    for (solid, pose) in &parts {
        let (p, t) = mesh(solid, pose);
        let from = points.len() as u32;
        points.extend(p);
        triangles.extend(t.into_iter().map(|t| t.map(|v| v + from)));
    }
    let got: MassProperties = parts.iter().map(|(s, pose)| s.filled(2.0).transformed(pose)).sum();
    same_body(&got, &mesh_mass(2.0, &points, &triangles), "assembly");
    // Each mirrored, its triangles turned the right way round again.
    let mirror = mirrored * placed.inverse();
    let got = got.transformed(&mirror);
    let points: Vec<DVec3> = points.into_iter().map(|p| mirror.transform_point3(p)).collect();
    let triangles: Vec<[u32; 3]> = triangles.into_iter().map(|[a, b, c]| [a, c, b]).collect();
    same_body(&got, &mesh_mass(2.0, &points, &triangles), "assembly mirrored");
}

/// The walls of a solid against the same walls as flat triangles, each a third of its mass at each edge's middle
/// (exact for second moments of a triangle), to 0.1 %.
#[test]
fn fabric_against_the_triangles_of_its_mesh() {
    for (name, solid) in [("pear", pear()), ("oval", oval())] {
        for (pose_name, pose) in poses() {
            let (points, triangles) = mesh(&solid, &pose);
            let walls = &triangles[..triangles.len() - 2 * SEGMENTS];
            let at = |k: u32| points[k as usize];
            let want: MassProperties = walls
                .iter()
                .flat_map(|&[a, b, c]| {
                    let (a, b, c) = (at(a), at(b), at(c));
                    let third = (b - a).cross(c - a).length() / 6.0;
                    [(a, b), (b, c), (c, a)].map(|(p, q)| MassProperties::point(third, (p + q) * 0.5))
                })
                .sum();
            let got = skin(&solid.rings).transformed(&pose);
            same_body(&got, &want, &format!("walls of the {name}, {pose_name}"));
            assert!((got.mass_g / solid.lateral_area_mm2() - 1.0).abs() < 1e-12);
        }
    }
}

fn ball(bands: u32, r: f64) -> Solid {
    Solid { rings: revolved(bands, |s| (r * (PI * s).sin(), -r * (PI * s).cos())) }
}

fn tube() -> Solid {
    Solid { rings: [(0.0, 0.0), (1.0, 5.0), (4.0, 7.5), (30.0, 8.0), (40.0, 6.0)].map(|(z, r)| round(z, r)).into() }
}

/// A frame turned by a vector of angles (its length in radians) and shifted.
fn pose(turn: [f64; 3], shift: [f64; 3]) -> DAffine3 {
    DAffine3::from_rotation_translation(DQuat::from_scaled_axis(DVec3::from(turn)), DVec3::from(shift))
}

/// Lens of two spheres, V = π(R+r−d)²(d²+2dr−3r²+2dR+6rR−3R²)/12d (Weisstein, Sphere–Sphere Intersection,
/// MathWorld), in many directions, the lines of the cut running along and across the axes: to 0.2 %. Bands of a
/// quarter degree, so that the balls are round to 1e-5.
#[test]
fn lens_of_two_spheres() {
    let (big, r) = (24.0, 13.0);
    let (large, small) = (ball(720, big), ball(720, r));
    for d in [12.0f64, 16.0, 25.0, 33.0, 36.0] {
        let lens = PI
            * (big + r - d).powi(2)
            * (d * d + 2.0 * d * r - 3.0 * r * r + 2.0 * d * big + 6.0 * r * big - 3.0 * big * big)
            / (12.0 * d);
        for (turn, toward) in [
            ([0.0, 0.0, 0.0], DVec3::X),
            ([0.0, 0.0, 0.0], DVec3::new(0.0, 0.3, 1.0)),
            ([0.9, -0.4, 1.3], DVec3::new(0.5, -0.7, 0.2)),
            ([2.0, 0.6, 0.0], DVec3::new(-0.2, -0.4, -0.9)),
            ([0.0, 1.2, 0.7], DVec3::new(0.8, 0.1, -0.75)),
        ] {
            let at = toward.normalize() * d;
            let got = overlap(
                &Placed { solid: &large, toy_from_part: pose([0.2, 0.1, -0.5], [0.0; 3]) },
                &Placed { solid: &small, toy_from_part: pose(turn, at.to_array()) },
            );
            assert!((got.volume_mm3 / lens - 1.0).abs() < 2e-3, "d {d}, {toward}: {} is not {lens}", got.volume_mm3);
            // The centre lies on the line of centres.
            let off = got.centre_mm.cross(toward.normalize()).length();
            assert!(off < 0.03, "d {d}, {toward}: centre {} lies {off} off the line of centres", got.centre_mm);
        }
    }
}

/// The same lens with both axes on one line is a sum of frusta: exact but for the bands, 1e-4.
#[test]
fn lens_of_two_coaxial_spheres() {
    let (big, r, d) = (24.0, 13.0, 30.0);
    let lens = PI * 7f64.powi(2) * (900.0 + 60.0 * r - 3.0 * r * r + 60.0 * big + 6.0 * r * big - 3.0 * big * big)
        / (12.0 * d);
    let (large, small) = (ball(720, big), ball(720, r));
    let axis = pose([0.7, 0.3, -0.2], [5.0, 6.0, 7.0]);
    let down = pose([PI, 0.0, 0.0], [0.0, 0.0, d]);
    let up = pose([0.0, 0.0, 2.0], [0.0, 0.0, d]);
    for own in [up, down] {
        let got = overlap(
            &Placed { solid: &large, toy_from_part: axis },
            &Placed { solid: &small, toy_from_part: axis * own },
        );
        assert!((got.volume_mm3 / lens - 1.0).abs() < 1e-4, "{} is not {lens}", got.volume_mm3);
        // The circle where they meet lies d²+R²−r² over 2d up; the lens' centre by its two caps.
        let meet = (d * d + big * big - r * r) / (2.0 * d);
        let cap = |radius: f64, h: f64| {
            (PI * h * h * (3.0 * radius - h) / 3.0, 3.0 * (2.0 * radius - h).powi(2) / (4.0 * (3.0 * radius - h)))
        };
        let ((v1, c1), (v2, c2)) = (cap(big, big - meet), cap(r, r - (d - meet)));
        let z = (v1 * c1 + v2 * (d - c2)) / (v1 + v2);
        let want = axis.transform_point3(DVec3::new(0.0, 0.0, z));
        assert!(got.centre_mm.distance(want) < 1e-3, "{} is not {want}", got.centre_mm);
    }
}

/// Cylinder in cylinder, ends overlapping, one turned over; and one cone through another, whose walls cross at
/// radius 3: worked by hand, to round-off.
#[test]
fn coaxial_cylinders_and_cones_by_hand() {
    let rod = |from: f64, to: f64, r: f64| Solid { rings: vec![round(from, r), round(to, r)] };
    let (wide, thin) = (rod(0.0, 10.0, 6.0), rod(0.0, 8.0, 2.0));
    let own = pose([0.3, 1.0, 0.0], [1.0, 2.0, 3.0]);
    let over = pose([PI, 0.0, 0.0], [0.0, 0.0, 13.0]);
    let got =
        overlap(&Placed { solid: &wide, toy_from_part: own }, &Placed { solid: &thin, toy_from_part: own * over });
    close(got.volume_mm3, PI * 4.0 * 5.0, 1e-9);
    close(got.centre_mm.distance(own.transform_point3(DVec3::new(0.0, 0.0, 7.5))), 0.0, 1e-9);
    let cone = Solid { rings: vec![round(0.0, 6.0), round(12.0, 0.0)] };
    let turned = pose([PI, 0.0, 0.0], [0.0, 0.0, 12.0]);
    let got = overlap(
        &Placed { solid: &cone, toy_from_part: DAffine3::IDENTITY },
        &Placed { solid: &cone, toy_from_part: turned },
    );
    close(got.volume_mm3, 2.0 * PI * 9.0 * 6.0 / 3.0, 1e-9);
    close(got.centre_mm.distance(DVec3::new(0.0, 0.0, 6.0)), 0.0, 1e-9);
}

/// Two equal cylinders crossing at right angles share 16r³/3 (Archimedes, The Method): to 0.3 %.
#[test]
fn crossed_cylinders_of_archimedes() {
    let rod = Solid { rings: vec![round(-20.0, 7.0), round(20.0, 7.0)] };
    for (turn, shift) in [([PI / 2.0, 0.0, 0.0], [0.0; 3]), ([PI / 2.0, 0.0, 0.0], [0.0, 6.0, 5.0])] {
        // Shifted along either axis they share the same.
        let shift = [0.0, shift[1], 0.0];
        let got = overlap(
            &Placed { solid: &rod, toy_from_part: DAffine3::IDENTITY },
            &Placed { solid: &rod, toy_from_part: pose(turn, shift) },
        );
        let want = 16.0 / 3.0 * 343.0;
        assert!((got.volume_mm3 / want - 1.0).abs() < 3e-3, "{} is not {want}", got.volume_mm3);
    }
}

/// Whether a point lies in a solid: section by section, the slow and plain way.
fn holds(solid: &Solid, p: DVec3) -> bool {
    solid.rings.windows(2).any(|pair| {
        let (a, b) = (pair[0], pair[1]);
        if !(a.z_mm..b.z_mm).contains(&p.z) {
            return false;
        }
        let t = (p.z - a.z_mm) / (b.z_mm - a.z_mm);
        let r = a.radius_mm * (1.0 - t) + b.radius_mm * t;
        let c = a.core_half_mm * (1.0 - t) + b.core_half_mm * t;
        (p.x.abs() - c).max(0.0).hypot(p.y) <= r
    })
}

/// Volume and centre by counting points of a grid, `n` along each side of the box around `a`, cut to the cube
/// around the ball that holds `b`.
fn counted(a: &Placed, b: &Placed, n: u32) -> (f64, DVec3) {
    let b_from_a = b.toy_from_part.inverse() * a.toy_from_part;
    let ends = |s: &Solid| (s.rings[0].z_mm, s.rings[s.rings.len() - 1].z_mm);
    let wide = |s: &Solid| s.rings.iter().map(|r| r.radius_mm + r.core_half_mm).fold(0.0, f64::max);
    let (from, to) = ends(b.solid);
    let ball = DVec3::splat(wide(b.solid).hypot(0.5 * (to - from)));
    let middle = b_from_a.inverse().transform_point3(DVec3::new(0.0, 0.0, 0.5 * (from + to)));
    let (from, to) = ends(a.solid);
    let low = DVec3::new(-wide(a.solid), -wide(a.solid), from).max(middle - ball);
    let high = DVec3::new(wide(a.solid), wide(a.solid), to).min(middle + ball);
    let step = (high - low) / f64::from(n);
    let (mut count, mut sum) = (0.0, DVec3::ZERO);
    for i in 0..n {
        for j in 0..n {
            for k in 0..n {
                let p = low + step * (DVec3::new(i.into(), j.into(), k.into()) + DVec3::splat(0.5));
                if holds(a.solid, p) && holds(b.solid, b_from_a.transform_point3(p)) {
                    count += 1.0;
                    sum += p;
                }
            }
        }
    }
    (count * step.x * step.y * step.z, a.toy_from_part.transform_point3(sum / count))
}

/// The same outline with four rings for every band, its corners cut (two passes of Chaikin's corner cutting).
fn smoothed(solid: &Solid) -> Solid {
    let mix = |a: f64, b: f64, t: f64| a + (b - a) * t;
    let at = |pair: &[Ring], t: f64| Ring {
        z_mm: mix(pair[0].z_mm, pair[1].z_mm, t),
        radius_mm: mix(pair[0].radius_mm, pair[1].radius_mm, t),
        core_half_mm: mix(pair[0].core_half_mm, pair[1].core_half_mm, t),
    };
    let mut rings = solid.rings.clone();
    for _ in 0..2 {
        let ends = [rings[0], rings[rings.len() - 1]];
        let cut = rings.windows(2).flat_map(|pair| [at(pair, 0.25), at(pair, 0.75)]);
        rings = std::iter::once(ends[0]).chain(cut).chain(std::iter::once(ends[1])).collect();
    }
    Solid { rings }
}

/// Limbs, pears and oval parts sunk into one another at any tilt, against a count of 80³ points (good to 0.2 %):
/// to 1 % of the overlap, 0.3 % of the smaller solid and 0.1 mm; with some 30 rings, as a worked part has, and with
/// six or eight rings and sharp edges.
#[test]
fn sunk_parts_against_a_count_of_points() {
    sunk_parts([pear(), oval(), tube()]);
    sunk_parts([pear(), oval(), tube()].map(|s| smoothed(&s)));
}

fn sunk_parts([pear, oval, tube]: [Solid; 3]) {
    let ball = ball(30, 15.0);
    let mirror = DAffine3::from_scale(DVec3::new(-1.0, 1.0, 1.0));
    let cases = [
        ("limb end first", &tube, &pear, pose([0.0, 1.57, 0.0], [-40.0, 2.0, 18.0])),
        ("limb tilted", &tube, &pear, pose([0.3, 1.0, 0.2], [-30.0, 3.0, 5.0])),
        ("limb along the side", &tube, &pear, pose([0.05, 0.0, 0.0], [20.0, 4.0, 0.0])),
        ("limb through", &tube, &pear, pose([1.5, 0.1, 0.0], [3.0, 20.0, 18.0])),
        ("ball on its shoulder", &ball, &pear, pose([0.4, 0.0, 0.0], [15.0, 8.0, 40.0])),
        ("ball at its side", &ball, &pear, pose([1.4, 0.7, 0.0], [-20.0, -15.0, 20.0])),
        ("ball far inside", &ball, &pear, pose([0.4, 0.0, 0.0], [1.0, 0.0, 19.0])),
        ("oval on the top", &oval, &pear, pose([3.0, 0.4, 0.0], [4.0, 0.0, 58.0])),
        ("oval at the side", &oval, &pear, pose([0.2, 0.4, 0.3], [18.0, -9.0, 12.0])),
        ("oval mirrored", &oval, &pear, mirror * pose([0.2, 0.4, 0.3], [18.0, -9.0, 12.0])),
        ("limb in an oval", &tube, &oval, pose([0.2, 2.0, 0.3], [-30.0, 4.0, 22.0])),
        ("oval on an oval", &oval, &oval, pose([0.4, 0.2, 1.3], [5.0, 4.0, 18.0])),
    ];
    for (name, solid, parent, toy_from_part) in cases {
        let a = Placed { solid, toy_from_part };
        let b = Placed { solid: parent, toy_from_part: DAffine3::IDENTITY };
        let got = overlap(&a, &b);
        let (volume, centre) = counted(&a, &b, 80);
        let least = solid.volume_mm3().min(parent.volume_mm3());
        assert!((got.volume_mm3 - volume).abs() < 3e-3 * least, "{name}: {} is not {volume}", got.volume_mm3);
        assert!((got.volume_mm3 / volume - 1.0).abs() < 1e-2, "{name}: {} is not {volume}", got.volume_mm3);
        assert!(got.centre_mm.distance(centre) < 0.1, "{name}: {} is not {centre}", got.centre_mm);
    }
}
