//! The pages of the right side: what the toy is, how it is made, how it is mended.

use egui::{RichText, Ui};
use serde::{Deserialize, Serialize};

use super::command::Command;

/// A page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Page {
    /// Verdicts on the toy.
    #[default]
    Toy,
    /// Yarn, fabric and time.
    Making,
    /// Changes that mend it.
    Mending,
}

impl Page {
    /// Every page.
    pub const ALL: [Page; 3] = [Page::Toy, Page::Making, Page::Mending];

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Page::Toy => "The toy",
            Page::Making => "Making",
            Page::Mending => "Mending",
        }
    }

    /// This page, or back from it to the first.
    pub fn switched(self, to: Page) -> Page {
        if self == to { Page::Toy } else { to }
    }
}

/// Shows the names of the pages; answers which is chosen.
pub fn show(ui: &mut Ui, page: &mut Page) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        for each in Page::ALL {
            let hint = match each {
                Page::Toy => "Size, standing, neck and what to look at".to_owned(),
                Page::Making => {
                    format!("{} ({})", Command::ShowMaking.about(), Command::ShowMaking.keys_text(ui.ctx()))
                }
                Page::Mending => {
                    format!("{} ({})", Command::ShowMending.about(), Command::ShowMending.keys_text(ui.ctx()))
                }
            };
            if ui.selectable_label(*page == each, RichText::new(each.name())).on_hover_text(hint).clicked() {
                *page = each;
            }
        }
    });
    ui.add_space(3.0);
}
