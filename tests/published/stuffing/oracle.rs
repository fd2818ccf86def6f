//! The membrane a second time, written apart from the program: nodes at (r, z), both unknown, forces as vectors.
//!
//! Each link is a cone frustum of fabric, closed by an imagined lid at either end. On each node act
//! - the pulls of its links, K·2πR̄·e along the link (R̄ the mean rest radius),
//! - the pull of its hoop, K·s·ε over the fabric width t that goes with the node, around the whole circle: 2π·K·s·t·ε
//!   toward the axis,
//! - its share of the pressure on the frusta (the pressure on a strip is shared between the two ends by its distance
//!   from them, integrated by Simpson's rule, which is exact here) and on the lids (p·π·r², carried by the rim).
//!
//! K is 1.

use std::f64::consts::{PI, TAU};

/// A part as the oracle sees it.
#[derive(Clone, Debug)]
pub struct Part {
    /// Rest radius of each node.
    pub radius: Vec<f64>,
    /// Rest length of each link.
    pub link: Vec<f64>,
    /// Pressure on each link, over K.
    pub pressure: Vec<f64>,
    /// Stiffness of gathered fabric.
    pub compression_share: f64,
    /// Whether the radius of the first and of the last node is fixed.
    pub fixed: [bool; 2],
}

/// A force on a node's whole circle: outward and along the axis.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Force {
    pub out: f64,
    pub up: f64,
}

impl Part {
    /// Forces at every node for the nodes at (r, z).
    pub fn forces(&self, r: &[f64], z: &[f64]) -> Vec<Force> {
        let mut sum = vec![Force::default(); r.len()];
        for i in 0..self.link.len() {
            let j = i + 1;
            let (run, climb) = (r[j] - r[i], z[j] - z[i]);
            let length = run.hypot(climb);
            let stretch = (length - self.link[i]) / self.link[i];
            let pull = TAU * 0.5 * (self.radius[i] + self.radius[j]) * stretch;
            let p = self.pressure[i];
            // Simpson: ends and middle of the strip, each point's force split by its distance from the ends.
            let (mut near, mut far) = (0.0, 0.0);
            for (at, weight) in [(0.0, 1.0), (0.5, 4.0), (1.0, 1.0)] {
                let around = TAU * (r[i] + at * run) * weight / 6.0;
                near += around * (1.0 - at);
                far += around * at;
            }
            // The normal (climb, −run)/length times the strip's length.
            sum[i].out += pull * run / length + p * near * climb;
            sum[i].up += pull * climb / length - p * near * run - p * PI * r[i] * r[i];
            sum[j].out += -pull * run / length + p * far * climb;
            sum[j].up += -pull * climb / length - p * far * run + p * PI * r[j] * r[j];
        }
        for (i, force) in sum.iter_mut().enumerate() {
            if self.radius[i] > 0.0 {
                let strain = (r[i] - self.radius[i]) / self.radius[i];
                let width = 0.5 * (self.link.get(i).unwrap_or(&0.0) + if i > 0 { self.link[i - 1] } else { 0.0 });
                let share = if strain < 0.0 { self.compression_share } else { 1.0 };
                force.out -= TAU * share * width * strain;
            }
        }
        sum
    }

    /// Energy for the nodes at (r, z): ½·K·e² over the fabric of each link, ½·K·s·ε² over that of each node, less
    /// the pressure times the volume of each frustum, here by Pappus: area of the half profile × way of its centroid.
    pub fn energy(&self, r: &[f64], z: &[f64]) -> f64 {
        let mut sum = 0.0;
        for i in 0..self.link.len() {
            let j = i + 1;
            let stretch = (r[j] - r[i]).hypot(z[j] - z[i]) / self.link[i] - 1.0;
            let fabric = PI * (self.radius[i] + self.radius[j]) * self.link[i];
            let area = 0.5 * (r[i] + r[j]) * (z[j] - z[i]);
            let centroid = (r[i] * r[i] + r[i] * r[j] + r[j] * r[j]) / (3.0 * (r[i] + r[j]));
            sum += 0.5 * fabric * stretch * stretch - self.pressure[i] * TAU * centroid * area;
        }
        for (i, radius) in r.iter().enumerate() {
            if self.radius[i] > 0.0 {
                let strain = radius / self.radius[i] - 1.0;
                let width = 0.5 * (self.link.get(i).unwrap_or(&0.0) + if i > 0 { self.link[i - 1] } else { 0.0 });
                let share = if strain < 0.0 { self.compression_share } else { 1.0 };
                sum += 0.5 * share * TAU * self.radius[i] * width * strain * strain;
            }
        }
        sum
    }

    /// p·π·R² of the widest node and the strongest pressure: what forces are measured by.
    pub fn force_scale(&self) -> f64 {
        let widest = self.radius.iter().fold(0.0_f64, |m, r| r.max(m));
        self.pressure.iter().fold(0.0_f64, |m, p| p.max(m)) * PI * widest * widest
    }

    /// Largest force left on a node at (r, z), as a share of [`Part::force_scale`]. Fixed radii carry what they must.
    pub fn imbalance(&self, r: &[f64], z: &[f64]) -> f64 {
        let forces = self.forces(r, z);
        let last = r.len() - 1;
        let mut most = 0.0_f64;
        for (i, force) in forces.iter().enumerate() {
            let held = (i == 0 && self.fixed[0]) || (i == last && self.fixed[1]);
            let out = if held { 0.0 } else { force.out.abs() };
            most = most.max(out).max(force.up.abs());
        }
        most / self.force_scale()
    }

    /// The unknowns of a general minimizer in one row: radii that are not fixed, then z of all nodes but the first.
    pub fn pack(&self, r: &[f64], z: &[f64]) -> Vec<f64> {
        let free = self.free();
        r[free].iter().chain(&z[1..]).copied().collect()
    }

    /// The nodes' places from such a row.
    pub fn unpack(&self, row: &[f64]) -> (Vec<f64>, Vec<f64>) {
        let free = self.free();
        let mut r = self.radius.clone();
        let (radii, heights) = row.split_at(free.len());
        r[free].copy_from_slice(radii);
        (r, std::iter::once(0.0).chain(heights.iter().copied()).collect())
    }

    /// Gradient of the energy in the unknowns of such a row.
    pub fn gradient(&self, row: &[f64]) -> Vec<f64> {
        let (r, z) = self.unpack(row);
        let forces = self.forces(&r, &z);
        let radial = forces[self.free()].iter().map(|f| -f.out);
        radial.chain(forces[1..].iter().map(|f| -f.up)).collect()
    }

    fn free(&self) -> std::ops::Range<usize> {
        let from = usize::from(self.fixed[0]);
        from..(self.radius.len() - usize::from(self.fixed[1])).max(from)
    }

    /// Where both minimizers start: rest radii cut down so that no link leans by more than 0.9 of its length, and each
    /// link at its rest length.
    pub fn start(&self) -> (Vec<f64>, Vec<f64>) {
        let mut r = self.radius.clone();
        let free = self.free();
        for i in free.clone().filter(|i| *i > 0) {
            r[i] = r[i].min(r[i - 1] + 0.9 * self.link[i - 1]);
        }
        for i in free.rev().filter(|i| i + 1 < self.radius.len()) {
            r[i] = r[i].min(r[i + 1] + 0.9 * self.link[i]);
        }
        let mut z = vec![0.0];
        for i in 0..self.link.len() {
            let run = r[i + 1] - r[i];
            z.push(z[i] + (self.link[i] * self.link[i] - run * run).max(0.01 * self.link[i] * self.link[i]).sqrt());
        }
        (r, z)
    }
}
