//! How the stuffed shape answers to a round that is made a little wider: the same linearisation as `response`, for each
//! rest radius by itself.

use super::energy::{Assembly, Constants};
use super::response::Response;
use super::rest::{Edge, Rest};
use super::solved::{Membrane, Solved};
use super::tridiagonal::Tridiagonal;

/// A solved part ready to answer for any of its rest radii.
pub struct RadiusResponses<'a> {
    rest: &'a Rest,
    solved: &'a Solved,
    constants: Constants,
    at: Assembly,
    system: Tridiagonal,
}

impl<'a> RadiusResponses<'a> {
    /// Of `solved`, which is [`solve`](super::solve) of `rest` and `membrane`; `None` where it was not solved.
    pub fn new(rest: &'a Rest, membrane: &Membrane, solved: &'a Solved) -> Option<Self> {
        let (n, m) = (rest.radius_mm.len(), rest.link_mm.len());
        let fits = solved.radius_mm.len() == n && solved.rise_mm.len() == m;
        if !solved.converged || !fits || rest.check().is_err() {
            return None;
        }
        let constants = Constants::new(rest, solved.load_per_mm, membrane.compression_share);
        let mut at = Assembly::new(&constants);
        at.rise.copy_from_slice(&solved.rise_mm);
        at.take(&constants, &solved.radius_mm);
        Some(RadiusResponses { rest, solved, constants, at, system: Tridiagonal::default() })
    }

    /// Change of every radius and rise, mm per mm, with the rest radius of `node`. Where `closing` says so, the last
    /// link is as long as that radius and grows with it, as that of a part drawn shut does with its last round. A held
    /// node moves with its rest radius; a pole answers nothing.
    pub fn of(&mut self, node: usize, closing: bool) -> Response {
        let (n, m) = (self.constants.nodes.len(), self.constants.links.len());
        let mut answer = Response { d_radius: vec![0.0; n], d_rise: vec![0.0; m] };
        let is = |end: usize, edge: Edge, what: Edge| node == end && edge == what;
        let pole = is(0, self.rest.first, Edge::Pole) || is(n - 1, self.rest.last, Edge::Pole);
        let held = is(0, self.rest.first, Edge::Held) || is(n - 1, self.rest.last, Edge::Held);
        if node >= n || pole {
            return answer;
        }
        let radius = &self.solved.radius_mm;
        let side = &mut answer.d_radius;
        let own = self.constants.nodes[node];
        let stiff = |node: usize, r: f64, share: f64| if r < self.constants.nodes[node].radius { share } else { 1.0 };
        let share = self.constants.compression_share;
        // Slope s·t·(r − R)/R of the node: its derivative by R, less sign.
        side[node] += stiff(node, radius[node], share) * own.width * radius[node] / (own.radius * own.radius);
        for link in [node.checked_sub(1), (node < m).then_some(node)].into_iter().flatten() {
            // The pull R̄·e by R̄ = (R₀ + R₁)/2.
            let e = self.solved.along[link];
            self.pull(link, 0.5 * e, &mut answer);
        }
        if closing && m > 0 {
            let last = m - 1;
            let l = self.constants.links[last];
            // The pull R̄·(L/ℓ − 1) by ℓ.
            self.pull(last, -l.mean_radius * (self.solved.along[last] + 1.0) / l.length, &mut answer);
            // The node before it has half of the link's length as its width.
            let hoop = self.solved.hoop[last];
            answer.d_radius[last] -= stiff(last, radius[last], share) * 0.5 * hoop;
        }
        let free = self.constants.free.clone();
        let fall = &self.at.fall;
        if held {
            let moved = self.at.off.get(if node == 0 { 0 } else { node - 1 }).copied().unwrap_or(0.0);
            let neighbour = if node == 0 { 1 } else { node - 1 };
            answer.d_radius[neighbour] -= moved;
        }
        answer.d_radius[..free.start].fill(0.0);
        answer.d_radius[free.end..].fill(0.0);
        let (diagonal, off) = self.at.hessian(&free);
        if !self.system.solve(diagonal, off, 0.0, &mut answer.d_radius[free]) {
            return Response { d_radius: vec![0.0; n], d_rise: vec![0.0; m] };
        }
        if held {
            answer.d_radius[node] = 1.0;
        }
        for (i, d) in answer.d_rise.iter_mut().enumerate() {
            *d -= fall[i][0] * answer.d_radius[i] + fall[i][1] * answer.d_radius[i + 1];
        }
        answer
    }

    /// Takes a change of a link's pull along itself, its rise following, to the right-hand side.
    fn pull(&self, link: usize, change: f64, answer: &mut Response) {
        let (r0, r1) = (self.solved.radius_mm[link], self.solved.radius_mm[link + 1]);
        let rise = self.at.rise[link];
        let over = 1.0 / f64::hypot(r1 - r0, rise);
        let (across, up) = (change * (r1 - r0) * over, change * rise * over);
        let fall = self.at.fall[link];
        answer.d_radius[link] -= -across - fall[0] * up;
        answer.d_radius[link + 1] -= across - fall[1] * up;
        answer.d_rise[link] -= up / self.constants.links[link].terms(r0, r1, rise).mixed[2];
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stuffing::solve;

    /// Central differences of the solver itself, every kind of end; the relative error of the second order is below
    /// 1e-5 at steps of 1e-4.
    #[test]
    fn answers_as_the_solver_does() {
        let counts = [6.0, 12.0, 18.0, 23.0, 24.0, 30.0, 22.0, 16.0, 11.0];
        for (first, last) in [(Edge::Pole, Edge::Pole), (Edge::Held, Edge::Free), (Edge::Free, Edge::Held)] {
            let mut radius: Vec<f64> = counts.iter().map(|n| n * 0.8).collect();
            let mut link = vec![4.65; counts.len() - 1];
            if first == Edge::Pole {
                radius.insert(0, 0.0);
                link.push(4.65);
            }
            let closing = last == Edge::Pole;
            if closing {
                link.push(radius[radius.len() - 1]);
                radius.push(0.0);
            }
            let rest = Rest::stuffed(radius, link, first, last).expect("a part");
            let membrane = Membrane::new(0.001);
            let solved = solve(&rest, &membrane);
            let mut answers = RadiusResponses::new(&rest, &membrane, &solved).expect("a solved part");
            let nodes = rest.radius_mm.len();
            for node in usize::from(first == Edge::Pole)..nodes - usize::from(closing) {
                let grows = closing && node == nodes - 2;
                let step = 1e-4;
                let at = |by: f64| {
                    let mut moved = rest.clone();
                    moved.radius_mm[node] += by;
                    if grows {
                        moved.link_mm[nodes - 2] += by;
                    }
                    solve(&moved, &membrane)
                };
                let (more, less) = (at(step), at(-step));
                let answer = answers.of(node, grows);
                let radii = more.radius_mm.iter().zip(&less.radius_mm).zip(&answer.d_radius);
                let rises = more.rise_mm.iter().zip(&less.rise_mm).zip(&answer.d_rise);
                for ((more, less), d) in radii.chain(rises) {
                    let found = (more - less) / (2.0 * step);
                    assert!((found - d).abs() < 2e-4, "{first:?} {last:?} node {node}: {found} against {d}");
                }
            }
        }
    }
}
