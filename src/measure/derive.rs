//! From the toy to its report.

use glam::DVec3;

use super::carried::Carried;
use super::figures::{Figures, Head, Layout, numbers, read};
use super::findings::{cautions, findings, size_differs, yarn_short};
use super::joint::alike_radius_mm;
use super::made::{Made, fabric_of_yarn, fill_of, main_fabric, make_again};
use super::narrow::{Causes, measure_first};
use super::necks::{Neck, Place, necks};
use super::need::{YarnNeed, needs};
use super::openness::fabrics;
use super::report::{
    AssumedBlock, NeckReport, PartReport, Report, RestPoseReport, SCHEMA, StandReport, ToyReport, YarnReport,
};
use super::spread::figures;
use super::stand::{lands, stand, stands_on, tip_figure};
use super::standing::Standing;
use super::time::time;
use super::weigh::{placed, placed_inertial};
use crate::figure::{Assumed, Figure, Origin};
use crate::part::{Amount, End, Fill};
use crate::toy::shape::{COMPRESSION_SHARE, ShapeKind};
use crate::toy::{Seat, Toy, head_by_name};

/// A toy worked out: what the window and the exports show.
#[derive(Clone, Debug)]
pub struct Derived {
    /// Shapes, places and masses.
    pub made: Made,
    /// How it stands, in full; `None` where nothing is placed on the floor.
    pub standing: Option<Standing>,
    /// Every joint with what it carries.
    pub necks: Vec<Neck>,
    /// What each rough assumption does to the figures a maker decides by.
    pub causes: Causes,
    /// All figures and findings. Rest poses are absent until [`land`] has been asked.
    pub report: Report,
}

/// Works out a toy: shapes, balance, figures, findings. Rest poses are apart, see [`land`].
pub fn derive(toy: &Toy) -> Derived {
    derive_made(toy, make_again(toy, &Made::default()))
}

/// The same as [`derive`], to the last bit, in less time: shapes of parts that are as they were in `before` (the
/// same toy before an edit) are taken over.
pub fn derive_again(toy: &Toy, before: &Derived) -> Derived {
    derive_made(toy, make_again(toy, &before.made))
}

/// What the figures of a toy are about.
pub(super) fn layout(toy: &Toy, made: &Made, necks: &[Neck]) -> Layout {
    let joints = necks.iter().map(|n| (n.part, n.place)).collect();
    let mut yarns: Vec<String> = toy.yarns.iter().map(|y| y.name.clone()).collect();
    for yarn in made.yarns.iter().flat_map(|y| &y.yarns) {
        if !yarns.contains(&yarn.name) {
            yarns.push(yarn.name.clone());
        }
    }
    Layout { head: head(toy, made, necks), joints, yarns }
}

fn derive_made(toy: &Toy, made: Made) -> Derived {
    let necks = necks(toy, &made);
    let layout = layout(toy, &made, &necks);
    let (list, effects) = figures(toy, &made, &|made| numbers(toy, made, &layout));
    let figures = read(&list, toy, &layout);
    let standing = stand(toy, &made, &necks);
    let head_ratio = layout.head.map(|_| figures.head_to_body.value).filter(|r| *r > 0.0);
    let (tip, tip_effects) = standing.as_ref().map(|s| tip_figure(toy, &made, &necks, s)).unzip();
    let fabric = fabrics(toy, &made);
    let cautions = cautions(toy, &made, (figures.size_mm.z.value > 0.0).then_some(figures.size_mm));
    let about = (fabric.as_slice(), &cautions);
    let mut findings = findings(toy, &made, standing.as_ref().zip(tip), &necks, head_ratio, about);
    let needs = needs(toy, &made);
    findings.extend(yarn_short(&needs));
    findings.extend(size_differs(toy, &made, figures.size_mm.z));
    findings.sort_by_key(|f| std::cmp::Reverse(f.severity));
    let parts = part_reports(toy, &made, &figures);
    let mut report = Report {
        schema: SCHEMA,
        assumed: assumed(toy, &made, &parts),
        toy: toy_report(toy, &made, &layout, &figures),
        parts,
        stand: standing.as_ref().zip(tip).map(|(s, tip)| stand_report(toy, &made, s, tip)),
        necks: necks.iter().zip(&figures.joints).map(|(n, f)| neck_report(toy, n, *f)).collect(),
        yarn: yarn_reports(toy, &layout, &figures, &needs),
        time: time(toy, None),
        fabric,
        placements: None,
        cautions,
        measure_first: Vec::new(),
        findings,
    };
    let causes = Causes::of(toy, &layout, &effects, tip_effects.unwrap_or_default(), &report);
    report.measure_first = measure_first(toy, &made, &causes, &report);
    Derived { made, standing, necks, causes, report }
}

/// What is taken for the head: the part of that name; of a part worked in one, what lies beyond its narrowest
/// round; else the topmost of the stuffed parts that sit on what stands on the floor.
fn head(toy: &Toy, made: &Made, necks: &[Neck]) -> Option<Head> {
    let is_placed = |i: &usize| !made.poses[*i].toy_from_part.is_empty();
    if let Some(head) = head_by_name(toy).filter(is_placed).filter(|h| made.poses[*h].parent.is_some()) {
        return Some(Head::Part(head));
    }
    let is_root = |i: usize| made.poses[i].parent.is_none() && is_placed(&i);
    let narrow = necks.iter().filter_map(|n| match n.place {
        Place::Round { node } if is_root(n.part) => Some((n.part, node, alike_radius_mm(n.joint.section))),
        _ => None,
    });
    let carried = Carried::of(made);
    let narrow = narrow.filter(|(part, node, _)| is_a_head(made, &carried, *part, *node));
    if let Some((part, node, _)) = narrow.min_by(|a, b| a.2.total_cmp(&b.2)) {
        return Some(Head::Beyond { part, node: end_of_neck(made, part, node) });
    }
    let on_root = |i: &usize| made.poses[*i].parent.is_some_and(is_root);
    let stuffed = |i: &usize| made.shapes[*i].kind == ShapeKind::Stuffed;
    let top = |i: usize| made.outsides_of(i).map(|s| s.support_mm(DVec3::Z)).fold(f64::NEG_INFINITY, f64::max);
    let candidates = (0..toy.pieces.len()).filter(is_placed).filter(on_root).filter(stuffed);
    let tops = candidates.map(|i| (i, top(i)));
    tops.max_by(|a, b| a.1.total_cmp(&b.1)).map(|(i, _)| Head::Part(i))
}

/// The node at which a thin run that begins at `node` widens again, seen from the fixed end.
fn end_of_neck(made: &Made, part: usize, node: usize) -> usize {
    let rings = &made.shapes[part].nodes;
    let wide = |i: usize| alike_radius_mm(rings[i]) > 1.1 * alike_radius_mm(rings[node]);
    match made.poses[part].by {
        End::Start => (node..rings.len()).find(|i| wide(*i)).map_or(node, |i| i.saturating_sub(1).max(node)),
        End::Finish => (0..=node).rev().find(|i| wide(*i)).map_or(node, |i| (i + 1).min(node)),
    }
}

/// Whether what lies beyond a node widens into something of its own: at least a twentieth of the toy's mass, so
/// that the tip of a tail or a stalk is no head.
fn is_a_head(made: &Made, carried: &Carried, part: usize, node: usize) -> bool {
    let whole = placed(&made.poses, &made.masses).mass_g;
    carried.beyond(part, 0, node as f64).mass_g >= 0.05 * whole
}

/// How the toy lands when dropped; `None` where nothing is placed or it cannot be told. Takes far longer than
/// [`derive`]: run it beside the window.
pub fn land(derived: &Derived) -> Option<Vec<RestPoseReport>> {
    derived.standing.as_ref()?;
    let poses = lands(&derived.made)?;
    let report =
        |p: &super::rest_poses::RestPose| RestPoseReport { share: p.share, up: p.up.to_array(), rolls: p.rolls };
    Some(poses.iter().map(report).collect())
}

fn assumed(toy: &Toy, made: &Made, parts: &[PartReport]) -> AssumedBlock {
    let fabric = main_fabric(toy);
    let stands = toy.pieces.iter().position(|p| matches!(p.placement.seat, Seat::Floor { .. }));
    let stuffed =
        stands.filter(|i| made.shapes[*i].fill.is_some()).or_else(|| made.shapes.iter().position(|s| s.fill.is_some()));
    let of_part = |i: usize| {
        // What this fabric cannot hold was assumed all the same.
        let asked = fill_of(toy, i).filter(|f| made.shapes[i].overstuffed && f.weighed_by().is_none());
        parts[i].density_g_per_l.zip(asked.map(|f| f.pressure_kpa).or(parts[i].pressure_kpa))
    };
    let usual = || {
        let fill = Fill::of(Amount::Medium, toy.settings.density_g_per_l, toy.settings.pressure_kpa)?;
        Some((fill.density_g_per_l, fill.pressure_kpa))
    };
    let (density_g_per_l, pressure_kpa) = stuffed.and_then(of_part).or_else(usual).unwrap_or_default();
    AssumedBlock {
        w_mm: fabric.w_mm,
        h_mm: fabric.h_mm,
        tex: fabric.tex,
        yarn_widths_per_stitch: fabric.widths_per_stitch,
        density_g_per_l,
        pressure_kpa,
        fabric_n_per_m: fabric.stiffness_n_per_m,
        compression_share: Assumed::new(COMPRESSION_SHARE, 2.0, Origin::Estimate),
        drift_stitches: toy.settings.drift(),
    }
}

fn toy_report(toy: &Toy, made: &Made, layout: &Layout, figures: &Figures) -> ToyReport {
    let whole = placed_inertial(made);
    let any = whole.mass_g > 0.0;
    let inertia = whole.inertia_g_mm2;
    let rows = [inertia.row(0), inertia.row(1), inertia.row(2)].map(|r| r.to_array());
    let above_zero = |f: Figure| (f.value > 0.0).then_some(f);
    ToyReport {
        name: toy.name.clone(),
        size_mm: (figures.size_mm.z.value > 0.0).then_some(figures.size_mm),
        mass_g: figures.mass_g,
        centre_of_mass_mm: any.then(|| whole.centre_mm.to_array()),
        inertia_g_mm2: any.then_some(rows),
        head_to_body_mass: layout.head.and_then(|_| above_zero(figures.head_to_body)),
        heads_tall: layout.head.and_then(|_| above_zero(figures.heads_tall)),
        head: layout.head.map(|h| toy.pieces[h.part()].part.name.clone()),
    }
}

/// An assumption that other figures move too, with the range of a figure of the same value that has followed them.
fn ranged(assumed: Assumed, figure: Figure) -> Assumed {
    // What is less is rounding: an exact figure stays one.
    let spread = Some(figure.log_spread()).filter(|spread| *spread > 1e-9);
    Assumed::new(assumed.value(), spread.map_or(1.0, f64::exp), assumed.from)
}

fn part_reports(toy: &Toy, made: &Made, figures: &Figures) -> Vec<PartReport> {
    let report = |(i, f): (usize, &super::figures::PartFigures)| {
        let part = &toy.pieces[i].part;
        let motion = made.poses[i].toy_from_part.first();
        let whole = made.masses[i].whole;
        PartReport {
            name: part.name.clone(),
            copies: toy.copies_of(i),
            rounds: part.counts(),
            stitches: part.stitches(),
            widest_mm: f.widest_mm,
            length_mm: f.length_mm,
            stuffed_widest_mm: f.stuffed_widest_mm,
            stuffed_length_mm: f.stuffed_length_mm,
            volume_ml: f.volume_ml,
            fabric_g: f.fabric_g,
            stuffing_g: f.stuffing_g,
            yarn_m: f.yarn_m,
            unstuffed_length_mm: made.shapes[i].before_stuffing_length_mm(),
            density_g_per_l: made.shapes[i].fill.map(|fill| ranged(fill.density_g_per_l, f.density_g_per_l)),
            pressure_kpa: made.shapes[i].fill.map(|fill| ranged(fill.pressure_kpa, f.pressure_kpa)),
            yarn: toy.yarn(&part.yarn).map_or_else(|| part.yarn.clone(), |y| y.name.clone()),
            placed: motion.is_some(),
            centre_of_mass_mm: motion.map(|m| m.transform_point3(whole.centre_mm).to_array()),
            converged: made.shapes[i].converged,
        }
    };
    figures.parts.iter().enumerate().map(report).collect()
}

fn stand_report(toy: &Toy, made: &Made, standing: &Standing, tip_deg: Figure) -> StandReport {
    StandReport {
        tip_deg,
        tip_toward_deg: standing.weakest.toward_deg,
        verdict: standing.verdict.word(),
        settles_deg: standing.settled_up.map(|_| standing.settle_deg),
        tip_by_direction_deg: standing.tips.iter().map(|t| t.tip_deg).collect(),
        stands_on: stands_on(made, standing).into_iter().map(|i| toy.pieces[i].part.name.clone()).collect(),
        rest_poses: None,
    }
}

fn neck_report(toy: &Toy, neck: &Neck, (radius_mm, load_share): (Figure, Figure)) -> NeckReport {
    let name = |i: usize| toy.pieces[i].part.name.clone();
    let (onto, round) = match neck.place {
        Place::Seam { onto, onto_node } => (name(onto), Some(onto_node)),
        Place::Round { node } => (name(neck.part), Some(node as f64)),
    };
    NeckReport {
        part: name(neck.part),
        onto,
        round,
        radius_mm,
        load_share,
        nods_beyond_deg: neck.joint.nod_deg(),
        sinks: neck.joint.sinks(),
        carries_g: neck.load.mass_g,
        verdict: neck.joint.verdict().word(),
    }
}

fn yarn_reports(toy: &Toy, layout: &Layout, figures: &Figures, needs: &[YarnNeed]) -> Vec<YarnReport> {
    let each = layout.yarns.iter().zip(&figures.yarns);
    each.map(|(name, (metres, grams))| {
        let fabric = fabric_of_yarn(toy, name);
        YarnReport {
            name: name.clone(),
            metres: *metres,
            grams: *grams,
            category: fabric.category,
            hook_mm: fabric.hook_mm,
            w_mm: fabric.w_mm,
            h_mm: fabric.h_mm,
            tex: fabric.tex,
            stock: needs.iter().find(|n| n.name == *name).cloned().unwrap_or_default(),
        }
    })
    .collect()
}
