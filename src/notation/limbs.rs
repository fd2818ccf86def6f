//! Limbs grown out of a round, and loops that hang from it: chains that add no stitch to the round.

use super::grammar::{Amount, Into, Item};

/// Takes out chains that are worked back into, with the stitches worked into them. A chain followed by
/// "in 2nd ch from hook" or "in each ch" is such a limb; a last "sl st in the same st" closes it.
pub(super) fn absorb(items: Vec<Item>) -> Vec<Item> {
    absorb_list(items, true)
}

/// `outer`: a chain that stands first is the one a piece begins with.
fn absorb_list(items: Vec<Item>, outer: bool) -> Vec<Item> {
    let into_chain = |i: &Item| matches!(i, Item::Work { into: Into::Chain(_), .. });
    let has_limb =
        items.windows(2).skip(usize::from(outer)).any(|w| matches!(w[0], Item::Chain { n: 2.. }) && into_chain(&w[1]))
            || items.iter().any(|i| matches!(i, Item::Group { .. }));
    if !has_limb {
        return items;
    }
    let mut out: Vec<Item> = Vec::with_capacity(items.len());
    let mut items = items.into_iter().peekable();
    let mut first = outer;
    while let Some(item) = items.next() {
        match item {
            Item::Group { items: inner, times } => out.push(Item::Group { items: absorb_list(inner, false), times }),
            Item::Chain { n: n @ 2.., .. } if !first && items.peek().is_some_and(into_chain) => {
                let mut left = n;
                while let Some(next) = items.peek() {
                    let Item::Work { stitch, amount, into, .. } = next else { break };
                    let used = match (amount, into) {
                        (_, Into::Same) => 0,
                        (Amount::Fill, _) => left,
                        (Amount::N(k), Into::Chain(nth)) => {
                            left = left.saturating_sub(nth.saturating_sub(1));
                            k.saturating_mul(u32::from(stitch.uses))
                        }
                        (Amount::N(k), _) => k.saturating_mul(u32::from(stitch.uses)),
                    };
                    if used > left || (left == 0 && used > 0) {
                        break;
                    }
                    left -= used;
                    let closes = matches!(into, Into::Same);
                    items.next();
                    if closes {
                        break;
                    }
                }
            }
            other => out.push(other),
        }
        first = false;
    }
    out
}

/// Whether a group that is repeated has chains which skip nothing: `*sl st, ch 3* around`, a fringe of loops.
pub(super) fn has_loops(items: &[Item]) -> bool {
    items.iter().any(|i| match i {
        Item::Group { items, times } => (*times != Amount::N(1) && hangs(items)) || has_loops(items),
        _ => false,
    })
}

fn hangs(items: &[Item]) -> bool {
    let skips = |i: &Item| matches!(i, Item::Work { stitch, .. } if stitch.makes == 0);
    let works = |i: &Item| matches!(i, Item::Work { stitch, .. } if stitch.makes > 0);
    items.iter().any(|i| matches!(i, Item::Chain { n: 2.. })) && items.iter().any(works) && !items.iter().any(skips)
}

/// The items without such loops.
pub(super) fn without_loops(items: Vec<Item>) -> Vec<Item> {
    let item = |i| match i {
        Item::Group { mut items, times } => {
            if times != Amount::N(1) && hangs(&items) {
                items.retain(|i| !matches!(i, Item::Chain { .. }));
            }
            Item::Group { items: without_loops(items), times }
        }
        other => other,
    };
    items.into_iter().map(item).collect()
}
