//! Colours of the picture's surroundings, in a light and a dark theme.

/// Which surroundings a picture is drawn for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Theme {
    /// Dark lines on a bright ground.
    #[default]
    Light,
    /// Bright lines on a dark ground.
    Dark,
}

/// A colour for each theme, sRGB with opacity (not premultiplied).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Ink {
    /// On the light theme.
    pub light: [u8; 4],
    /// On the dark theme.
    pub dark: [u8; 4],
}

impl Ink {
    /// The plumb line and its marks: vermilion, amber. Orange against blue stays apart for colour-blind eyes.
    pub const PLUMB: Ink = Ink { light: [196, 74, 8, 255], dark: [255, 178, 84, 255] };
    /// What the toy stands on, as a fill.
    pub const SUPPORT_FILL: Ink = Ink { light: [0, 104, 178, 62], dark: [96, 184, 238, 66] };
    /// What the toy stands on, as an outline.
    pub const SUPPORT_LINE: Ink = Ink { light: [0, 90, 160, 255], dark: [120, 198, 246, 255] };
    /// Dimension lines and other notes.
    pub const NOTE: Ink = Ink { light: [64, 62, 70, 255], dark: [206, 204, 214, 255] };

    /// The colour in a theme.
    pub fn on(self, theme: Theme) -> [u8; 4] {
        match theme {
            Theme::Light => self.light,
            Theme::Dark => self.dark,
        }
    }
}

/// The surroundings as linear light (0 to 1).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThemeColours {
    /// Background at the top of the picture.
    pub top: [f32; 3],
    /// Background at the bottom of the picture.
    pub bottom: [f32; 3],
    /// Light from above that fills the shade.
    pub sky: [f32; 3],
    /// Light thrown back by the floor.
    pub bounce: [f32; 3],
    /// The key light.
    pub key: [f32; 3],
    /// Light along the edges.
    pub rim: [f32; 3],
    /// The glow of what is chosen.
    pub glow: [f32; 3],
    /// Darkest the shadow on the floor gets (0 to 1).
    pub shadow: f32,
}

impl Theme {
    /// The surroundings of this theme.
    pub fn colours(self) -> ThemeColours {
        match self {
            Theme::Light => ThemeColours {
                top: linear([250, 248, 244]),
                bottom: linear([226, 221, 213]),
                sky: [0.46, 0.47, 0.50],
                bounce: [0.30, 0.27, 0.24],
                key: [0.86, 0.82, 0.76],
                rim: [0.20, 0.20, 0.21],
                glow: linear([255, 176, 32]),
                shadow: 0.62,
            },
            Theme::Dark => ThemeColours {
                top: linear([46, 48, 56]),
                bottom: linear([26, 27, 32]),
                sky: [0.34, 0.36, 0.41],
                bounce: [0.12, 0.11, 0.11],
                key: [0.86, 0.81, 0.74],
                rim: [0.24, 0.25, 0.28],
                glow: linear([255, 186, 56]),
                shadow: 0.78,
            },
        }
    }
}

/// An sRGB byte as linear light (IEC 61966-2-1).
pub fn linear_byte(byte: u8) -> f32 {
    let c = f32::from(byte) / 255.0;
    if c <= 0.040_45 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
}

/// An sRGB colour as linear light.
pub fn linear(colour: [u8; 3]) -> [f32; 3] {
    colour.map(linear_byte)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IEC 61966-2-1: sRGB 0.5 is 0.2140 in linear light; black and white stay.
    #[test]
    fn linear_light_follows_the_srgb_curve() {
        assert_eq!(linear([0, 255, 0]), [0.0, 1.0, 0.0]);
        assert!((linear_byte(128) - 0.2159).abs() < 1e-4, "128/255 is 0.50196");
    }
}
