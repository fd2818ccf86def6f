//! What is stuffed: rest radii, rest lengths, how much of the pressure each link gets, and the two ends.

use thiserror::Error;

/// How an end of a part is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Edge {
    /// Closed to a point on the axis: the node's rest radius is 0 and stays 0.
    Pole,
    /// An open rim that is sewn, joined or folded: the radius stays as worked. Pressure acts on the imagined lid.
    Held,
    /// An open rim that nothing holds. Pressure acts on the imagined lid.
    Free,
}

/// The rest shape of a part: nodes in the order they are worked, and the links between them.
#[derive(Clone, Debug, PartialEq)]
pub struct Rest {
    /// Rest radius of each node, mm; 0 at poles and nowhere else.
    pub radius_mm: Vec<f64>,
    /// Rest length of each link along the fabric, mm: link i joins nodes i and i + 1, so one fewer than nodes.
    pub link_mm: Vec<f64>,
    /// Pressure on each link as a share of the full one, above 0 and at most 1: 1 where the part is stuffed, little
    /// (0.05) where it is left empty.
    pub fill: Vec<f64>,
    /// How the first node is held.
    pub first: Edge,
    /// How the last node is held.
    pub last: Edge,
}

/// Why a rest shape cannot be stuffed. Nodes and links are numbered from 0.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum RestError {
    /// Fewer than two nodes.
    #[error("a part needs at least 2 nodes, this one has {nodes}")]
    TooFewNodes {
        /// Nodes given.
        nodes: usize,
    },
    /// Not one link fewer than nodes.
    #[error("{nodes} nodes are joined by {} links, not by {links}", nodes - 1)]
    LinkCount {
        /// Nodes given.
        nodes: usize,
        /// Links given.
        links: usize,
    },
    /// Not one fill a link.
    #[error("{links} links need {links} shares of the pressure, not {fills}")]
    FillCount {
        /// Links given.
        links: usize,
        /// Fills given.
        fills: usize,
    },
    /// A radius that is no length.
    #[error("the radius of node {node} is {radius_mm} mm; it must be 0 or a length between 1e-30 and 1e30")]
    Radius {
        /// The node.
        node: usize,
        /// Its radius.
        radius_mm: f64,
    },
    /// Radius 0 at a node that is no pole.
    #[error("the radius of node {node} is 0, but it is no closed end")]
    ZeroRadius {
        /// The node.
        node: usize,
    },
    /// A closed end that has a radius.
    #[error("node {node} is a closed end, but its radius is {radius_mm} mm, not 0")]
    OpenPole {
        /// The node.
        node: usize,
        /// Its radius.
        radius_mm: f64,
    },
    /// Two poles and nothing between them.
    #[error("nodes 0 and 1 are both closed ends: there is no round between them")]
    NoRound,
    /// A link that is no length.
    #[error("the length of the link from node {link} is {link_mm} mm; it must be between 1e-30 and 1e30")]
    Link {
        /// The link, and the node it starts from.
        link: usize,
        /// Its length.
        link_mm: f64,
    },
    /// A fill that is no share.
    #[error("the link from node {link} has {fill} of the pressure; it must be above 0 and at most 1")]
    Fill {
        /// The link, and the node it starts from.
        link: usize,
        /// Its share of the pressure.
        fill: f64,
    },
}

/// Lengths outside this band would overflow or vanish when multiplied.
fn is_length(mm: f64) -> bool {
    (1e-30..=1e30).contains(&mm)
}

impl Rest {
    /// A rest shape, checked: at least 2 nodes, one link and one fill between each two, every length finite and
    /// above 0 but for the radii of poles, which are 0, and not two poles alone.
    pub fn new(
        radius_mm: Vec<f64>,
        link_mm: Vec<f64>,
        fill: Vec<f64>,
        first: Edge,
        last: Edge,
    ) -> Result<Self, RestError> {
        let rest = Rest { radius_mm, link_mm, fill, first, last };
        rest.check()?;
        Ok(rest)
    }

    /// A rest shape stuffed throughout, checked as in [`Rest::new`].
    pub fn stuffed(radius_mm: Vec<f64>, link_mm: Vec<f64>, first: Edge, last: Edge) -> Result<Self, RestError> {
        let fill = vec![1.0; link_mm.len()];
        Rest::new(radius_mm, link_mm, fill, first, last)
    }

    /// The first thing wrong with it, if anything is: the fields are open, so a change may have broken them.
    pub fn check(&self) -> Result<(), RestError> {
        let nodes = self.radius_mm.len();
        let links = self.link_mm.len();
        if nodes < 2 {
            return Err(RestError::TooFewNodes { nodes });
        }
        if links != nodes - 1 {
            return Err(RestError::LinkCount { nodes, links });
        }
        if self.fill.len() != links {
            return Err(RestError::FillCount { links, fills: self.fill.len() });
        }
        for (node, &radius_mm) in self.radius_mm.iter().enumerate() {
            if radius_mm != 0.0 && !is_length(radius_mm) {
                return Err(RestError::Radius { node, radius_mm });
            }
            let pole = (node == 0 && self.first == Edge::Pole) || (node == nodes - 1 && self.last == Edge::Pole);
            if pole && radius_mm != 0.0 {
                return Err(RestError::OpenPole { node, radius_mm });
            }
            if !pole && radius_mm == 0.0 {
                return Err(RestError::ZeroRadius { node });
            }
        }
        if nodes == 2 && self.first == Edge::Pole && self.last == Edge::Pole {
            return Err(RestError::NoRound);
        }
        for (link, &link_mm) in self.link_mm.iter().enumerate() {
            if !is_length(link_mm) {
                return Err(RestError::Link { link, link_mm });
            }
        }
        for (link, &fill) in self.fill.iter().enumerate() {
            if !(fill > 0.0 && fill <= 1.0) {
                return Err(RestError::Fill { link, fill });
            }
        }
        Ok(())
    }

    /// The rest radius that the load is reckoned with, mm: the largest, each counted with its share of the pressure.
    /// For a part stuffed throughout it is the largest radius.
    pub fn loaded_radius_mm(&self) -> f64 {
        let ends = self.radius_mm.windows(2).zip(&self.fill);
        ends.map(|(ends, fill)| fill * ends[0].max(ends[1])).fold(0.0, f64::max)
    }

    /// Rise of each link of the plain revolved surface, at least `least` of the link's length.
    pub(super) fn plain_rise_mm(&self, least: f64) -> Vec<f64> {
        let ends = self.radius_mm.windows(2).zip(&self.link_mm);
        ends.map(|(ends, link)| {
            let across = ends[1] - ends[0];
            (link * link - across * across).max(least * least * link * link).sqrt()
        })
        .collect()
    }
}

/// z of each node of the part before stuffing, mm from the first node: the plain revolved surface, each link as long
/// as it is worked and each circle as wide, dz = √(ℓ² − ΔR²); 0 where the radius changes by more than the link is long.
pub fn before_stuffing(rest: &Rest) -> Vec<f64> {
    running_sum(&rest.plain_rise_mm(0.0))
}

/// z of each node from the rises of the links, the first node at 0.
pub(super) fn running_sum(rise_mm: &[f64]) -> Vec<f64> {
    let mut z = 0.0;
    std::iter::once(0.0)
        .chain(rise_mm.iter().map(|d| {
            z += d;
            z
        }))
        .collect()
}
