//! Blocks of words and boxes that flow over pages. A block is never broken; a block that leads the next, such as a
//! heading, is never left alone at the foot of a page.

use glam::DVec2;

use super::{Mark, Page};

/// Something that stays in one piece.
#[derive(Clone, Debug, Default)]
pub(super) struct Block {
    /// What is in it; its upper edge at y = 0, x as on the page.
    pub page: Page,
    /// Its height, mm.
    pub height: f64,
    /// It stays on one page with the next block.
    pub leads: bool,
    /// What it belongs to: said again at the top of a page that begins within it.
    pub belongs: Option<String>,
    /// Said once below the last of the blocks on a page that follow each other and have it.
    pub closing: Option<Box<Block>>,
}

/// The room that blocks flow into.
#[derive(Clone, Copy, Debug)]
pub(super) struct Room {
    /// Upper edge on the first page, mm.
    pub first_top: f64,
    /// Upper edge on the pages after it, mm.
    pub top: f64,
    /// Lower edge, mm.
    pub bottom: f64,
}

/// Lays blocks on pages. `again` makes the line that says what a page goes on with.
pub(super) fn flow(blocks: Vec<Block>, room: Room, again: &dyn Fn(&str) -> Block) -> Vec<Page> {
    let mut pages = vec![Page::default()];
    let mut y = room.first_top;
    let mut last_belongs: Option<String> = None;
    let mut closing: Option<Box<Block>> = None;
    let mut at = 0;
    while at < blocks.len() {
        // A block with all that it leads.
        let mut end = at;
        while blocks[end].leads && end + 1 < blocks.len() {
            end += 1;
        }
        let last = &blocks[end];
        let height: f64 = blocks[at..=end].iter().chain(last.closing.as_deref()).map(|b| b.height).sum();
        if let Some(closing) = closing.take_if(|_| last.closing.is_none()) {
            put(&mut pages, *closing, &mut y);
        }
        if y + height > room.bottom && pages.last().is_some_and(|p| !p.marks.is_empty()) {
            if let Some(closing) = closing.take() {
                put(&mut pages, *closing, &mut y);
            }
            pages.push(Page::default());
            y = room.top;
            if let Some(name) = blocks[at].belongs.as_ref().filter(|name| last_belongs.as_ref() == Some(name)) {
                put(&mut pages, again(name), &mut y);
            }
        }
        for block in &blocks[at..=end] {
            last_belongs.clone_from(&block.belongs);
            put(&mut pages, block.clone(), &mut y);
        }
        closing.clone_from(&blocks[end].closing);
        at = end + 1;
    }
    if let Some(closing) = closing {
        put(&mut pages, *closing, &mut y);
    }
    pages
}

fn put(pages: &mut [Page], block: Block, y: &mut f64) {
    if let Some(page) = pages.last_mut() {
        page.marks.extend(block.page.marks.into_iter().map(|mark| lowered(mark, *y)));
    }
    *y += block.height;
}

/// A mark moved down.
fn lowered(mark: Mark, by: f64) -> Mark {
    let shift = DVec2::new(0.0, by);
    let all = |points: Vec<DVec2>| points.into_iter().map(|p| p + shift).collect();
    match mark {
        Mark::Picture(mut placed) => {
            placed.origin_mm += shift;
            placed.clip_mm = placed.clip_mm.map(|mut clip| {
                clip.low += shift;
                clip.high += shift;
                clip
            });
            Mark::Picture(placed)
        }
        Mark::Words(mut words) => {
            words.at += shift;
            Mark::Words(words)
        }
        Mark::Rule { from, to, width_pt, ink, dash_pt } => {
            Mark::Rule { from: from + shift, to: to + shift, width_pt, ink, dash_pt }
        }
        Mark::CheckBox { at, side_mm } => Mark::CheckBox { at: at + shift, side_mm },
        Mark::Fill { points, ink } => Mark::Fill { points: all(points), ink },
        Mark::Outline { points, width_pt, ink } => Mark::Outline { points: all(points), width_pt, ink },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::sheet::Style;

    fn block(name: &str, height: f64, leads: bool) -> Block {
        let mut page = Page::default();
        page.words(DVec2::new(10.0, height / 2.0), name, Style::plain(9.0));
        Block { page, height, leads, belongs: Some("Part".to_owned()), closing: None }
    }

    fn names(page: &Page) -> Vec<String> {
        let words = page.marks.iter().filter_map(|m| if let Mark::Words(w) = m { Some(w.text.clone()) } else { None });
        words.collect()
    }

    #[test]
    fn a_heading_goes_with_what_it_leads() {
        let room = Room { first_top: 10.0, top: 10.0, bottom: 100.0 };
        let blocks = vec![block("a", 60.0, false), block("heading", 20.0, true), block("b", 15.0, false)];
        let pages = flow(blocks, room, &|_| block("again", 5.0, false));
        assert_eq!(pages.iter().map(names).collect::<Vec<_>>(), [vec!["a"], vec!["again", "heading", "b"]]);
    }

    #[test]
    fn what_closes_is_said_once_on_every_page_and_has_its_room() {
        let room = Room { first_top: 10.0, top: 10.0, bottom: 100.0 };
        let closed =
            |name: &str| Block { closing: Some(Box::new(block("law", 8.0, false))), ..block(name, 40.0, false) };
        let blocks = vec![block("a", 5.0, false), closed("b"), closed("c"), closed("d"), block("e", 5.0, false)];
        let pages = flow(blocks, room, &|_| block("again", 5.0, false));
        let found: Vec<Vec<String>> = pages.iter().map(names).collect();
        assert_eq!(found, [vec!["a", "b", "law"], vec!["again", "c", "law"], vec!["again", "d", "law", "e"]]);
    }

    #[test]
    fn a_block_larger_than_a_page_stands_alone() {
        let room = Room { first_top: 10.0, top: 10.0, bottom: 100.0 };
        let pages = flow(vec![block("a", 300.0, false), block("b", 10.0, false)], room, &|_| Block::default());
        assert_eq!(pages.iter().map(names).collect::<Vec<_>>(), [vec!["a"], vec!["b"]]);
    }
}
