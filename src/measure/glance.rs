//! A toy worked out without give or take: the values and the verdicts of [`super::derive`], for those who try many
//! changes of one toy.

use super::derive::layout;
use super::figures::{numbers, read};
use super::findings::{cautions, findings, yarn_short};
use super::made::{Made, make_again};
use super::necks::{Neck, necks};
use super::need::needs;
use super::openness::fabrics;
use super::report::{Finding, SizeMm};
use super::stand::{stand, stands_on};
use super::standing::Standing;
use crate::figure::Figure;
use crate::toy::Toy;

/// What a toy comes out like, in values alone.
#[derive(Clone, Debug, Default)]
pub struct Glance {
    /// Shapes, places and masses.
    pub made: Made,
    /// How it stands; `None` where nothing is placed on the floor.
    pub standing: Option<Standing>,
    /// Every joint with what it carries.
    pub necks: Vec<Neck>,
    /// What to look at. Warnings that rest on the give or take of a figure are left out; what is severe is all here.
    pub findings: Vec<Finding>,
    /// The part that is or has the head.
    pub head: Option<usize>,
    /// Mass of the head and all it carries against the rest, where there is a head and a rest.
    pub head_to_body: Option<f64>,
    /// Height of the toy in heights of its head.
    pub heads_tall: Option<f64>,
    /// Height of what is placed, mm; 0 where nothing is.
    pub height_mm: f64,
    /// Size of what is placed.
    size_mm: Option<SizeMm>,
    /// Mass of all parts, g.
    pub mass_g: f64,
    /// Metres and grams of each yarn.
    pub yarns: Vec<(String, f64, f64)>,
    /// How many there are of each part.
    pub copies: Vec<u32>,
    /// Parts that touch the floor.
    pub stands_on: Vec<usize>,
}

/// Works a toy out without give or take. Shapes of parts that are as in `before` are taken over from there.
pub fn glance(toy: &Toy, before: &Made) -> Glance {
    glance_unstood(toy, before).stood(toy)
}

/// The same without how it stands and without findings, which take most of the time.
pub fn glance_unstood(toy: &Toy, before: &Made) -> Glance {
    let made = make_again(toy, before);
    let necks = necks(toy, &made);
    let layout = layout(toy, &made, &necks);
    let list: Vec<Figure> = numbers(toy, &made, &layout).into_iter().map(Figure::exact).collect();
    let figures = read(&list, toy, &layout);
    let z = figures.size_mm.z;
    let above_zero = |f: Figure| layout.head.and((f.value > 0.0).then_some(f.value));
    let head_to_body = above_zero(figures.head_to_body);
    Glance {
        findings: Vec::new(),
        head: layout.head.map(|h| h.part()),
        head_to_body,
        heads_tall: above_zero(figures.heads_tall),
        height_mm: z.value,
        size_mm: (z.value > 0.0).then_some(figures.size_mm),
        mass_g: figures.mass_g.value,
        yarns: layout.yarns.iter().zip(&figures.yarns).map(|(n, (m, g))| (n.clone(), m.value, g.value)).collect(),
        copies: (0..toy.pieces.len()).map(|i| toy.copies_of(i)).collect(),
        stands_on: Vec::new(),
        made,
        standing: None,
        necks,
    }
}

impl Glance {
    /// With how the toy stands, and the findings.
    pub fn stood(mut self, toy: &Toy) -> Glance {
        self.standing = stand(toy, &self.made, &self.necks);
        let standing = self.standing.as_ref();
        let tip = standing.map(|s| Figure::exact(s.weakest.tip_deg));
        let fabric = fabrics(toy, &self.made);
        let cautions = cautions(toy, &self.made, self.size_mm);
        let about = (fabric.as_slice(), &cautions);
        self.findings = findings(toy, &self.made, standing.zip(tip), &self.necks, self.head_to_body, about);
        self.findings.extend(yarn_short(&needs(toy, &self.made)));
        self.stands_on = standing.map(|s| stands_on(&self.made, s)).unwrap_or_default();
        self
    }
}
