//! Small pictures for the cards about making: a gauge of yarn, a piece of fabric, days.

use glam::DVec2;

use super::ink::Ink;
use super::picture::{Across, Extent, Picture, Upright};
use crate::figure::Figure;

/// Side of the square that a small picture is drawn in; the unit means nothing.
const SIDE: f64 = 100.0;

fn at(x: f64, y: f64) -> DVec2 {
    DVec2::new(x, y)
}

fn square(words: String) -> Picture {
    Picture { words, extent: Extent { low: DVec2::ZERO, high: DVec2::splat(SIDE) }, ..Picture::default() }
}

fn bar(picture: &mut Picture, from: DVec2, to: DVec2, ink: Ink) {
    picture.fill(vec![from, at(to.x, from.y), to, at(from.x, to.y)], ink);
}

/// A jar filled to what is at hand, with a mark at what is needed and its give or take.
pub fn yarn_gauge(need_g: Figure, have_g: Option<f64>, ink: Ink, yarn: [u8; 3]) -> Picture {
    let words = match have_g {
        Some(have) => format!("{have:.0} g at hand against {:.0} g needed", need_g.value),
        None => format!("{:.0} g needed", need_g.value),
    };
    let mut picture = square(words);
    let most = need_g.high.max(have_g.unwrap_or(0.0)).max(1e-9) * 1.08;
    let up = |g: f64| 6.0 + 88.0 * (g / most).clamp(0.0, 1.0);
    let (left, right) = (10.0, 42.0);
    bar(&mut picture, at(left, 6.0), at(right, 94.0), Ink::TRACK);
    if let Some(have) = have_g {
        bar(&mut picture, at(left, 6.0), at(right, up(have)), Ink::yarn(yarn));
    }
    picture.outline(vec![at(left, 6.0), at(right, 6.0), at(right, 94.0), at(left, 94.0)], Ink::FAINT, 1.2);
    // The give or take of the need as a bracket beside the jar, its best guess as a line through it.
    let (low, high, value) = (up(need_g.low), up(need_g.high), up(need_g.value));
    picture.line(vec![at(48.0, low), at(54.0, low), at(54.0, high), at(48.0, high)], ink, 1.6);
    picture.line(vec![at(left - 6.0, value), at(60.0, value)], ink, 2.4);
    picture.text(at(63.0, value), "need", Ink::NOTE, 10.0, (Across::Left, Upright::Middle));
    picture
}

/// A piece of fabric: stitches drawn as broad or as thin as they cover; 1 is closed, 0 gapes.
pub fn fabric(closed: f64, ink: Ink) -> Picture {
    let closed = closed.clamp(0.0, 1.0);
    let words = match closed {
        c if c > 0.75 => "Stitches close together",
        c if c > 0.25 => "Stitches with small gaps",
        _ => "Stitches with wide gaps",
    };
    let mut picture = square(words.to_owned());
    let width_pt = 2.2 + 3.6 * closed;
    for row in 0..4 {
        for column in 0..4 {
            let foot = at(17.0 + 22.0 * f64::from(column), 8.0 + 21.0 * f64::from(row));
            picture.line(vec![foot + at(-7.0, 19.0), foot, foot + at(7.0, 19.0)], ink, width_pt);
        }
    }
    picture
}

/// A way of days: how much of the work is done, and where the wished day lies against the day it will be done.
/// `wished` is the days there are as a share of the days it takes.
pub fn days(done_share: f64, wished: Option<f64>, ink: Ink) -> Picture {
    let done = if done_share.is_finite() { done_share.clamp(0.0, 1.0) } else { 0.0 };
    let mut picture = square(format!("{:.0} % of the work is done", 100.0 * done));
    let (centre, radius) = (at(50.0, 52.0), 36.0);
    let arc = |from: f64, to: f64| -> Vec<DVec2> {
        let steps = ((48.0 * (to - from).abs()).ceil() as usize).max(1);
        (0..=steps)
            .map(|i| {
                let turn = from + (to - from) * i as f64 / steps as f64;
                centre + radius * DVec2::from_angle(std::f64::consts::TAU * (0.25 - turn))
            })
            .collect()
    };
    picture.line(arc(0.0, 1.0), Ink::TRACK, 7.0);
    if done > 0.0 {
        picture.line(arc(0.0, done), ink, 7.0);
    }
    // The wished day as a mark on the ring: all around is the day it will be done.
    if let Some(wished) = wished.filter(|w| w.is_finite()) {
        let turn = (done + (1.0 - done) * wished).clamp(0.0, 1.0);
        let way = DVec2::from_angle(std::f64::consts::TAU * (0.25 - turn));
        picture.line(vec![centre + way * (radius - 11.0), centre + way * (radius + 10.0)], Ink::PLUMB, 2.6);
    }
    picture.text(centre, format!("{:.0} %", 100.0 * done), Ink::NOTE, 12.0, (Across::Middle, Upright::Middle));
    picture
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_picture_is_told_in_words_and_stays_in_its_square() {
        let need = Figure { value: 40.0, low: 30.0, high: 55.0 };
        let pictures = [
            yarn_gauge(need, Some(90.0), Ink::GOOD, [1, 2, 3]),
            yarn_gauge(need, None, Ink::NOTE, [1, 2, 3]),
            fabric(0.0, Ink::BAD),
            fabric(1.0, Ink::GOOD),
            days(0.4, Some(7.0), Ink::CARE),
            days(f64::NAN, None, Ink::CARE),
        ];
        for picture in pictures {
            assert!(!picture.words.is_empty() && !picture.items.is_empty());
            assert_eq!(picture.extent.size(), DVec2::splat(SIDE));
        }
    }
}
