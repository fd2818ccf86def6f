//! Meshes as other programs read them: closed, outside out, as large as the report says, in their colours.

use std::collections::HashMap;
use std::io::Cursor;

use glam::DVec3;
use toppleknot::document::{TextScene, load, open_text, samples};
use toppleknot::export::mesh::{Mesh, MeshError, Side, glb, solid_mesh, stl};
use toppleknot::measure::{Made, derive, make};
use toppleknot::solid::Ring;
use toppleknot::solid::mass::frustum_volume_mm3;
use toppleknot::toy::shape::ShapeKind;
use toppleknot::toy::{Copies, Seat, Toy};

use super::{err, run, sample_path};

/// Triangles with the corners that a reader found.
type Triangle = [DVec3; 3];

fn volume(triangles: &[Triangle]) -> f64 {
    // About a corner of its own: less is lost where the surface lies far from the origin.
    let o = triangles.first().map_or(DVec3::ZERO, |t| t[0]);
    triangles.iter().map(|[a, b, c]| (*a - o).dot((*b - o).cross(*c - o)) / 6.0).sum()
}

/// Every side of every triangle meets one other that runs the other way, corners told apart by their place.
fn assert_closed(triangles: &[Triangle], what: &str) {
    let key = |p: DVec3| p.as_vec3().to_array().map(f32::to_bits);
    let mut sides: HashMap<_, i64> = HashMap::new();
    for t in triangles {
        for (a, b) in [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])] {
            assert!(a.is_finite() && b.is_finite(), "{what}: a corner that is no number");
            assert_ne!(key(a), key(b), "{what}: two corners of a triangle are one");
            *sides.entry((key(a), key(b))).or_default() += 1;
        }
    }
    for ((a, b), times) in &sides {
        assert_eq!(*times, 1, "{what}: a side stands {times} times");
        assert_eq!(sides.get(&(*b, *a)), Some(&1), "{what}: a side has no other");
    }
}

/// The surfaces in a glTF file, read by the `gltf` crate: name, triangles in the file's own right-handed frame with
/// all transforms applied, colours of the triangles.
fn read_glb(bytes: &[u8]) -> Vec<(String, Vec<Triangle>, Vec<[f32; 4]>)> {
    let gltf = gltf::Gltf::from_slice(bytes).expect("a glTF that the reader's validation passes");
    let blob = gltf.blob.as_deref().expect("numbers in the file itself");
    let scene = gltf.default_scene().expect("a scene");
    let roots: Vec<_> = scene.nodes().collect();
    assert_eq!(roots.len(), 1);
    let (_, _, scale) = roots[0].transform().decomposed();
    assert!(scale.iter().all(|s| (s - 0.001).abs() < 1e-9), "mm to metres");
    let mut found = Vec::new();
    for node in roots[0].children() {
        assert_eq!(node.transform().matrix(), gltf::scene::Transform::Matrix { matrix: identity() }.matrix());
        let (mut triangles, mut colours) = (Vec::new(), Vec::new());
        for primitive in node.mesh().expect("a mesh").primitives() {
            let reader = primitive.reader(|_| Some(blob));
            let at: Vec<DVec3> = reader
                .read_positions()
                .expect("corners")
                .map(|p| DVec3::from_array(p.map(|x| f64::from(x) * f64::from(scale[0]))))
                .collect();
            let normals: Vec<[f32; 3]> = reader.read_normals().expect("normals").collect();
            assert_eq!(normals.len(), at.len());
            for n in normals {
                let length = n.iter().map(|x| x * x).sum::<f32>().sqrt();
                assert!((length - 1.0).abs() < 1e-3, "a normal of length {length}");
            }
            let indices: Vec<u32> = reader.read_indices().expect("indices").into_u32().collect();
            let colour = primitive.material().pbr_metallic_roughness().base_color_factor();
            for t in indices.chunks_exact(3) {
                triangles.push([t[0], t[1], t[2]].map(|i| at[i as usize]));
                colours.push(colour);
            }
        }
        found.push((node.name().unwrap_or("").to_owned(), triangles, colours));
    }
    found
}

fn identity() -> [[f32; 4]; 4] {
    [[1.0, 0.0, 0.0, 0.0], [0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0], [0.0, 0.0, 0.0, 1.0]]
}

fn read_stl(bytes: &[u8]) -> Vec<Triangle> {
    let read = stl_io::read_stl(&mut Cursor::new(bytes)).expect("an STL that the reader takes");
    let at = |i: usize| DVec3::from_array(read.vertices[i].0.map(f64::from));
    read.faces.iter().map(|f| f.vertices.map(at)).collect()
}

/// Volume of a part's outside in closed form, mm³: what the mesh has to come near.
fn outside_mm3(made: &Made, part: usize) -> f64 {
    let shape = &made.shapes[part];
    match shape.kind {
        ShapeKind::Stuffed | ShapeKind::FoldedFlat => shape.outer.volume_mm3(),
        ShapeKind::Open => {
            // The rim leans where the fabric does: its band counts too, downward bands being taken away.
            let rim =
                |from: Option<&Ring>, to: Option<&Ring>| from.zip(to).map_or(0.0, |(a, b)| frustum_volume_mm3(*a, *b));
            let (outer, inner) = (&shape.outer.rings, &shape.inner.rings);
            let rims = rim(outer.last(), inner.last()) + rim(inner.first(), outer.first());
            shape.outer.volume_mm3() - shape.inner.volume_mm3() + rims
        }
        ShapeKind::Disc => {
            let radius = shape.nodes.last().expect("rounds").radius_mm;
            std::f64::consts::PI * radius * radius * shape.fabric.thickness_mm()
        }
    }
}

fn all_samples() -> Vec<(String, Toy)> {
    let read = |text: &str| open_text(text, "sample.toy.ron", true, &TextScene::default()).expect("a sample");
    samples().iter().map(|s| (s.title.to_owned(), read(s.text).document.toy)).collect()
}

fn outside(toy: &Toy) -> (Made, Mesh) {
    let made = make(toy);
    let mesh = solid_mesh(toy, &made, Side::Outside).expect("a toy with parts");
    (made, mesh)
}

#[test]
fn every_sample_is_read_back_closed_outside_out_and_as_large_as_it_is() {
    for (title, toy) in all_samples() {
        let (made, mesh) = outside(&toy);
        let read = read_glb(&glb(&mesh));
        assert_eq!(read.len(), mesh.surfaces.len(), "{title}");
        let copies: usize = made.poses.iter().map(|p| p.toy_from_part.len()).sum();
        assert_eq!(mesh.surfaces.iter().filter(|s| s.part.is_some()).count(), copies, "{title}: every copy");
        let mut all = 0.0;
        for (surface, (name, triangles, _)) in mesh.surfaces.iter().zip(&read) {
            let what = format!("{title}, {name}");
            assert_eq!(*name, surface.name);
            assert_closed(triangles, &what);
            // Metres to mm: positive also for mirrored copies.
            let mm3 = volume(triangles) * 1e9;
            assert!((mm3 / surface.volume_mm3() - 1.0).abs() < 1e-4, "{what}: {mm3} of {}", surface.volume_mm3());
            all += mm3;
            if let Some(part) = surface.part {
                let exact = outside_mm3(&made, part);
                assert!((mm3 / exact - 1.0).abs() < 0.005, "{what}: {mm3} mm³ in the mesh, {exact} by formula");
            }
        }
        let triangles = read_stl(&stl(&mesh));
        assert_eq!(triangles.len(), mesh.surfaces.iter().map(|s| s.triangles.len()).sum::<usize>());
        let mm3 = volume(&triangles);
        assert!((mm3 / all - 1.0).abs() < 1e-3, "{title}: {mm3} in STL, {all} in glTF");
        let mut from = 0;
        for surface in &mesh.surfaces {
            let own = &triangles[from..from + surface.triangles.len()];
            assert_closed(own, &format!("{title}, {} in STL", surface.name));
            assert!(volume(own) > 0.0);
            from += surface.triangles.len();
        }
    }
}

#[test]
fn the_inside_is_the_reports_room_for_stuffing() {
    let mut compared = 0;
    for (title, toy) in all_samples() {
        let derived = derive(&toy);
        let mesh = solid_mesh(&toy, &derived.made, Side::Inside).expect("a stuffed toy");
        for (surface, (_, triangles, _)) in mesh.surfaces.iter().zip(read_glb(&glb(&mesh))) {
            let part = surface.part.expect("no eyes inside");
            // The report leaves out what another part takes of the room; the mesh shows the part whole.
            let share = 1.0 - derived.made.overlaps[part].0.clamp(0.0, 0.95);
            let report = derived.report.parts[part].volume_ml.value;
            let ml = volume(&triangles) * 1e6 * share;
            assert!((ml / report - 1.0).abs() < 0.005, "{title}, {}: {ml} of {report} ml", surface.name);
            compared += 1;
        }
        let stuffed = derived.report.parts.iter().filter(|p| p.volume_ml.value > 0.0);
        assert_eq!(mesh.surfaces.len(), stuffed.map(|p| p.copies as usize).sum::<usize>(), "{title}");
    }
    assert!(compared > 20, "{compared}");
}

/// Where the head is seen from the front, its left is at the right: a mirrored toy would show an arm on the other
/// side.
#[test]
fn no_file_mirrors_the_toy() {
    let text = "(version: 1, toy: (pieces: [
        (part: (name: \"Body\", rounds: [\"6sc\", \"6sc+\", \"12sc\", \"12sc\", \"6sc-\"], finish: Gathered),
         placement: (seat: Floor(down: Start, x_mm: 0.0, y_mm: 0.0))),
        (part: (name: \"Left\", rounds: [\"6sc\", \"6sc\"]),
         placement: (seat: OnSurface(part: \"Body\", at: (round: 3.0, angle_deg: 90.0)))),
        (part: (name: \"Front\", rounds: [\"6sc\", \"6sc\"]),
         placement: (seat: OnSurface(part: \"Body\", at: (round: 3.0, angle_deg: 0.0)))),
        (part: (name: \"Top\", rounds: [\"6sc\", \"6sc\"]),
         placement: (seat: OnEnd(part: \"Body\", end: Finish))),
    ]))";
    let toy = open_text(text, "arm.toy.ron", true, &TextScene::default()).expect("a toy").document.toy;
    let (_, mesh) = outside(&toy);
    let middle = |t: &[Triangle]| t.iter().flatten().copied().sum::<DVec3>() / (3 * t.len()) as f64;
    let read = read_glb(&glb(&mesh));
    let at = |name: &str| middle(&read.iter().find(|r| r.0 == name).expect("the part").1) - middle(&read[0].1);
    let (left, front, top) = (at("Left"), at("Front"), at("Top"));
    // glTF 2.0, 3.4 Coordinate system and units: y up, the front faces +z, −x is right.
    assert!(top.y > 1e-3 && top.x.abs() < 1e-3 && top.z.abs() < 1e-3, "{top}");
    assert!(front.z > 1e-3 && front.x.abs() < 1e-3, "{front}");
    assert!(left.x > 1e-3 && left.z.abs() < 1e-3, "{left}");
    // In a right-handed frame left, up and front of who faces us make a positive volume: x × y = z.
    assert!(left.cross(top).dot(front) > 0.0);
    let triangles = read_stl(&stl(&mesh));
    let mut from = 0;
    let mut middles = HashMap::new();
    for surface in &mesh.surfaces {
        middles.insert(surface.name.as_str(), middle(&triangles[from..from + surface.triangles.len()]));
        from += surface.triangles.len();
    }
    let at = |name: &str| middles[name] - middles["Body"];
    assert!(at("Top").z > 1.0 && at("Front").y < -1.0 && at("Left").x > 1.0);
    assert!(at("Left").cross(at("Top")).dot(at("Front")) > 0.0);
}

#[test]
fn colours_are_the_yarns_in_linear_light() {
    let toy = load(&sample_path("boot-room-imp.toy.ron")).expect("a sample").toy;
    let (_, mesh) = outside(&toy);
    let read = read_glb(&glb(&mesh));
    // IEC 61966-2-1 by hand: ((c/255 + 0.055)/1.055)^2.4 of moss (110, 128, 72).
    let moss = [0.156_0_f32, 0.215_9, 0.064_8];
    let (_, _, arm) = read.iter().find(|r| r.0 == "Arm 1").expect("an arm");
    assert!(arm.iter().all(|c| c.iter().zip(moss).all(|(a, b)| (a - b).abs() < 5e-4)), "{:?}", arm[0]);
    let document = gltf::Gltf::from_slice(&glb(&mesh)).expect("a glTF").document;
    let names: Vec<&str> = document.materials().filter_map(|m| m.name()).collect();
    for name in ["Moss", "Boot brown", "Rosy"] {
        assert!(names.contains(&name), "{names:?}");
    }
}

#[test]
fn stripes_and_stretches_have_their_colours_and_leave_the_part_closed() {
    let text = "(version: 1, toy: (yarns: [(name: \"White\", colour: (250, 250, 250)), (name: \"Red\", colour: (200, 0, 0))],
        settings: (drift_stitches: 0.0),
        pieces: [(part: (name: \"Buoy\", yarn: \"White\", rounds: [\"6sc\", \"6sc+\", \"6(sc sc+)\", \"RED18sc\", \"18sc\", \"9sc RED9sc\", \"6(sc sc-)\", \"6sc-\"], finish: Gathered),
         placement: (seat: Floor(down: Start, x_mm: 0.0, y_mm: 0.0)))]))";
    // How a colour is written in a round is the file's own business: ask the writer.
    let toy = {
        let mut toy = open_text(&text.replace("RED", ""), "buoy.toy.ron", true, &TextScene::default())
            .expect("a toy")
            .document
            .toy;
        let rounds = &mut toy.pieces[0].part.rounds;
        rounds[3].runs.iter_mut().for_each(|r| r.colour = Some("Red".into()));
        let mut half = rounds[5].runs[0].clone();
        half.times = 9;
        rounds[5].runs = vec![half.clone(), toppleknot::rounds::Run { colour: Some("Red".into()), ..half }];
        toy
    };
    let (_, mesh) = outside(&toy);
    let (_, triangles, colours) = read_glb(&glb(&mesh)).remove(0);
    assert_closed(&triangles, "buoy");
    let area = |red: bool| {
        let own = triangles.iter().zip(&colours).filter(|(_, c)| (c[1] < 0.1) == red);
        own.map(|([a, b, c], _)| (*b - *a).cross(*c - *a).length() / 2.0).sum::<f64>()
    };
    // One whole round of 18 and half of another, of about seven rounds' worth of 18.
    let share = area(true) / (area(true) + area(false));
    assert!((0.18..0.35).contains(&share), "{share}");
    // Rounds begin at the back, and for a right hand with the right side out stitches follow each other to the left, seen
    // from outside: the second half of the round is on the toy's right, which in glTF (front toward +Z, up +Y) is -X.
    let round = triangles.iter().zip(&colours).filter(|(_, c)| c[1] < 0.1).map(|(t, _)| t);
    let x: Vec<f64> = round.map(|t| (t[0].x + t[1].x + t[2].x) / 3.0).collect();
    let right = x.iter().filter(|x| **x < 0.0).count() as f64 / x.len() as f64;
    assert!(right > 0.6, "the stretch is on the right: {right}");
}

#[test]
fn parts_without_a_place_stand_beside_each_other() {
    let mut toy = load(&sample_path("sea-wall-bear.toy.ron")).expect("a sample").toy;
    for piece in &mut toy.pieces[1..] {
        piece.placement.seat = Seat::Beside;
        piece.placement.copies = Copies::Around(3);
    }
    let (made, mesh) = outside(&toy);
    assert!(made.poses[1].toy_from_part.is_empty());
    let expected = 1 + 3 * (toy.pieces.len() - 1);
    assert_eq!(mesh.surfaces.iter().filter(|s| s.part.is_some()).count(), expected);
    let mut spans: Vec<(f64, f64, &str)> = Vec::new();
    for surface in mesh.surfaces.iter().filter(|s| s.part.is_some()) {
        let x = surface.points.iter().map(|p| p.x);
        let low_z = surface.points.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
        assert!(low_z.abs() < 1.0, "{}: on the floor, not at {low_z}", surface.name);
        spans.push((x.clone().fold(f64::INFINITY, f64::min), x.fold(f64::NEG_INFINITY, f64::max), &surface.name));
    }
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    assert!(spans.windows(2).all(|s| s[1].0 > s[0].1 + 10.0), "{spans:?}");
}

#[test]
fn forty_parts_of_every_kind_are_all_there() {
    let mut toy = Toy::default();
    for (_, sample) in all_samples() {
        for mut piece in sample.pieces {
            piece.part.name = format!("Part {}", toy.pieces.len());
            piece.placement.seat = Seat::Beside;
            toy.pieces.push(piece);
        }
    }
    while toy.pieces.len() < 40 {
        let piece = toy.pieces[toy.pieces.len() % 7].clone();
        toy.pieces.push(piece);
    }
    let (made, mesh) = outside(&toy);
    for kind in [ShapeKind::Stuffed, ShapeKind::FoldedFlat, ShapeKind::Open, ShapeKind::Disc] {
        println!("{kind:?}: {}", made.shapes.iter().filter(|s| s.kind == kind).count());
    }
    let read = read_glb(&glb(&mesh));
    assert!(read.len() >= 40);
    for (name, triangles, _) in &read {
        assert_closed(triangles, name);
        assert!(volume(triangles) > 0.0, "{name}");
    }
}

/// Each kind of shape, start and end by itself.
#[test]
fn every_kind_of_part_is_closed_and_as_large_as_its_formula() {
    let cases = [
        (
            "ball",
            "start: MagicRing, finish: Gathered, rounds: [\"6sc\", \"6sc+\", \"12sc\", \"12sc\", \"6sc-\"]",
            ShapeKind::Stuffed,
        ),
        ("cup", "start: MagicRing, finish: Open, rounds: [\"6sc\", \"6sc+\", \"12sc\", \"12sc\"]", ShapeKind::Stuffed),
        ("tube", "start: ChainRing, finish: Open, rounds: [\"14sc\", \"14sc\", \"14sc\"]", ShapeKind::Stuffed),
        (
            "oval",
            "start: ChainOval(chain: 6), finish: Gathered, rounds: [\"14sc\", \"14sc\", \"7sc-\"]",
            ShapeKind::Stuffed,
        ),
        (
            "ear",
            "start: MagicRing, finish: Open, stuffing: (amount: None), rounds: [\"6sc\", \"6sc+\", \"12sc\", \"12sc\", \"6sc-\"]",
            ShapeKind::FoldedFlat,
        ),
        (
            "disc",
            "start: MagicRing, finish: Open, stuffing: (amount: None), rounds: [\"6sc\", \"6sc+\", \"6(sc sc+)\", \"6(2sc sc+)\"]",
            ShapeKind::Disc,
        ),
        (
            "cap",
            "start: MagicRing, finish: Open, stuffing: (amount: None), rounds: [\"6sc\", \"6sc+\", \"12sc\", \"12sc\", \"12sc\"]",
            ShapeKind::Open,
        ),
        (
            "sleeve",
            "start: ChainRing, finish: Open, stuffing: (amount: None), rounds: [\"14sc\", \"14sc\", \"14sc\"]",
            ShapeKind::Open,
        ),
        (
            "half full",
            "start: MagicRing, finish: Open, stuffing: (amount: Light, up_to_round: 3), rounds: [\"6sc\", \"6sc+\", \"12sc\", \"12sc\", \"12sc\"]",
            ShapeKind::Stuffed,
        ),
        ("one stitch", "start: MagicRing, finish: Gathered, rounds: [\"sc\", \"sc\", \"sc\"]", ShapeKind::Stuffed),
    ];
    for (name, part, kind) in cases {
        let text = format!("(version: 1, toy: (pieces: [(part: (name: \"{name}\", {part}))]))");
        let toy = open_text(&text, "part.toy.ron", true, &TextScene::default()).expect(name).document.toy;
        let (made, mesh) = outside(&toy);
        assert_eq!(made.shapes[0].kind, kind, "{name}");
        let (_, triangles, _) = &read_glb(&glb(&mesh))[0];
        assert_closed(triangles, name);
        let (mm3, exact) = (volume(triangles) * 1e9, outside_mm3(&made, 0));
        assert!((mm3 / exact - 1.0).abs() < 0.005, "{name}: {mm3} mm³ in the mesh, {exact} by formula");
    }
}

#[test]
fn the_same_toy_gives_the_same_bytes() {
    for (title, toy) in all_samples() {
        let ((_, one), (_, two)) = (outside(&toy), outside(&toy));
        assert!(glb(&one) == glb(&two) && stl(&one) == stl(&two), "{title}");
    }
}

#[test]
fn nothing_to_show_and_too_much_are_plain_errors() {
    let empty = Toy::default();
    assert_eq!(solid_mesh(&empty, &make(&empty), Side::Outside).err(), Some(MeshError::NoParts));
    let text =
        "(version: 1, toy: (pieces: [(part: (name: \"Ear\", stuffing: (amount: None), rounds: [\"6sc\", \"6sc\"]))]))";
    let toy = open_text(text, "ear.toy.ron", true, &TextScene::default()).expect("a toy").document.toy;
    assert_eq!(solid_mesh(&toy, &make(&toy), Side::Inside).err(), Some(MeshError::NothingInside));
    let rounds = "\"40sc\", ".repeat(2000);
    let text = format!(
        "(version: 1, toy: (pieces: [(part: (name: \"Worm\", rounds: [{rounds}]), placement: (copies: Around(200)))]))"
    );
    let toy = open_text(&text, "worm.toy.ron", true, &TextScene::default()).expect("a toy").document.toy;
    assert!(matches!(solid_mesh(&toy, &make(&toy), Side::Outside), Err(MeshError::TooLarge(_))));
}

#[test]
fn the_command_writes_both_and_refuses_in_plain_words() {
    let folder = std::env::temp_dir().join(format!("toppleknot-mesh-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    let sample = sample_path("tide-pool-seal.toy.ron");
    let sample = sample.to_str().expect("a plain path");
    for ending in ["glb", "stl", "GLB"] {
        let to = folder.join(format!("seal.{ending}"));
        let ran = run(&["mesh", sample, "-o", to.to_str().expect("a plain path")], "");
        assert!(ran.status.success() && ran.stdout.is_empty(), "{}", err(&ran));
        let bytes = std::fs::read(&to).expect("what was written");
        match ending {
            "stl" => assert!(!read_stl(&bytes).is_empty()),
            _ => assert!(!read_glb(&bytes).is_empty()),
        }
    }
    let to = folder.join("list.stl");
    let to = to.to_str().expect("a plain path");
    let ran = run(&["mesh", "-", "-o", to, "--yarn", "5", "--hook", "6", "--side", "inside"], "6 12 18 18 12 6");
    assert!(ran.status.success(), "{}", err(&ran));
    for (args, input, word) in [
        (vec!["mesh", sample, "-o", "seal.obj"], "", ".glb or .stl"),
        (vec!["mesh", sample, "-o", "/no-such-folder/seal.glb"], "", "cannot be written"),
        (vec!["mesh", "-", "-o", to], "Dear all.", "no rounds found"),
        (vec!["mesh", "-", "--format", "toy", "-o", to], "(version: 1, toy: ())", "no part with rounds"),
    ] {
        let ran = run(&args, input);
        assert_eq!(ran.status.code(), Some(2), "{args:?}");
        assert!(err(&ran).contains(word), "{args:?}: {}", err(&ran));
    }
    std::fs::remove_dir_all(&folder).expect("the test's own folder");
}
