//! How the maker likes the window: kept from one time to the next in a small file of its own.

use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use crate::notation::Terms;
use crate::view::overlay::Overlays;
use crate::view::units::Units;

/// Light or dark.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Look {
    /// As the system has it.
    #[default]
    System,
    /// Light.
    Light,
    /// Dark.
    Dark,
}

impl Look {
    /// The one after.
    pub fn next(self) -> Look {
        match self {
            Look::System => Look::Light,
            Look::Light => Look::Dark,
            Look::Dark => Look::System,
        }
    }

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Look::System => "System theme",
            Look::Light => "Light theme",
            Look::Dark => "Dark theme",
        }
    }
}

/// Views that are shown side by side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Panes {
    /// From the front.
    pub front: bool,
    /// From its left.
    pub side: bool,
    /// From above.
    pub top: bool,
    /// In the round.
    pub solid: bool,
}

impl Default for Panes {
    fn default() -> Self {
        Panes { front: true, side: true, top: false, solid: true }
    }
}

/// Everything that is kept.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// Light or dark.
    pub look: Look,
    /// Inches, yards, ounces in place of mm, m, g.
    pub imperial: bool,
    /// Stitch names as the UK has them.
    pub uk_terms: bool,
    /// Views.
    pub panes: Panes,
    /// Dimension lines and scale bar.
    pub sizes: bool,
    /// Plumb line and support.
    pub plumb: bool,
    /// Outline before stuffing.
    pub before_stuffing: bool,
    /// Height counted in heads.
    pub heads: bool,
    /// Page of the right side.
    pub page: super::pages::Page,
    /// How far the outline may move.
    pub give_take: bool,
    /// How far it leans before it falls, over the view from above.
    pub rose: bool,
    /// How it lands, as small figures under the front view.
    pub lands: bool,
    /// The toy as far as it is made, in place of the whole one.
    pub as_made: bool,
    /// How much larger everything is.
    pub scale: f32,
    /// Files opened last, the newest first.
    pub recent: Vec<PathBuf>,
}

impl Default for Settings {
    fn default() -> Self {
        Settings {
            look: Look::System,
            imperial: false,
            uk_terms: false,
            panes: Panes::default(),
            sizes: true,
            plumb: true,
            before_stuffing: false,
            heads: false,
            page: super::pages::Page::default(),
            give_take: false,
            rose: true,
            lands: true,
            as_made: false,
            scale: 1.0,
            recent: Vec::new(),
        }
    }
}

/// Files remembered.
const MOST_RECENT: usize = 8;

impl Settings {
    /// Units on screen.
    pub fn units(&self) -> Units {
        if self.imperial { Units::Imperial } else { Units::Metric }
    }

    /// Stitch names on screen.
    pub fn terms(&self) -> Terms {
        if self.uk_terms { Terms::Uk } else { Terms::Us }
    }

    /// What is shown beside the toy.
    pub fn overlays(&self) -> Overlays {
        Overlays {
            sizes: self.sizes,
            plumb: self.plumb,
            before_stuffing: self.before_stuffing,
            heads: self.heads,
            give_take: self.give_take,
            rose: self.rose,
        }
    }

    /// Remembers a file as opened last.
    pub fn remember(&mut self, path: &Path) {
        let path = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
        self.recent.retain(|p| *p != path);
        self.recent.insert(0, path);
        self.recent.truncate(MOST_RECENT);
    }

    /// What was kept, or the usual where nothing was or it cannot be read.
    pub fn load(file: Option<&Path>) -> Settings {
        let text = file.and_then(|f| std::fs::read_to_string(f).ok());
        let mut settings: Settings = text.and_then(|t| ron::from_str(&t).ok()).unwrap_or_default();
        settings.scale = if settings.scale.is_finite() { settings.scale.clamp(0.6, 2.5) } else { 1.0 };
        settings
    }

    /// Keeps them.
    ///
    /// # Errors
    /// Where the file cannot be written.
    pub fn save(&self, file: &Path) -> std::io::Result<()> {
        if let Some(folder) = file.parent() {
            std::fs::create_dir_all(folder)?;
        }
        let text = ron::ser::to_string_pretty(self, ron::ser::PrettyConfig::new()).map_err(std::io::Error::other)?;
        crate::document::write_whole(file, text.as_bytes())
    }
}
