//! Colours of the plots, read from the style sheet, where they stand once.
//!
//! Data hues are those of Okabe & Ito (Color Universal Design, 2008); temperature is cividis
//! (Nuñez, Anderton & Renslow, PLoS ONE 13, e0199239, 2018) on a square-root scale from 0 to
//! 1,000 °C. Both were made to be told apart with any colour vision.

use airpath::quantity::Kind;
use plotters_backend::BackendColor;

/// A colour, red, green and blue from 0 to 255.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Colour(pub u8, pub u8, pub u8);

impl From<Colour> for BackendColor {
    fn from(colour: Colour) -> Self {
        BackendColor {
            alpha: 1.0,
            rgb: (colour.0, colour.1, colour.2),
        }
    }
}

impl Colour {
    /// As a style sheet writes it.
    pub fn css(self) -> String {
        format!("#{:02x}{:02x}{:02x}", self.0, self.1, self.2)
    }

    /// Reads "#rrggbb".
    pub fn from_css(text: &str) -> Option<Self> {
        let digits = text
            .trim()
            .strip_prefix('#')
            .filter(|d| d.len() == 6 && d.is_ascii())?;
        let part = |at: usize| u8::from_str_radix(&digits[at..at + 2], 16).ok();
        Some(Self(part(0)?, part(2)?, part(4)?))
    }

    /// Relative luminance (WCAG 2.2).
    fn luminance(self) -> f64 {
        let part = |byte: u8| {
            let share = f64::from(byte) / 255.0;
            if share <= 0.040_45 {
                share / 12.92
            } else {
                ((share + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * part(self.0) + 0.7152 * part(self.1) + 0.0722 * part(self.2)
    }

    /// Contrast ratio to another (WCAG 2.2), 1 to 21.
    pub fn contrast(self, other: Colour) -> f64 {
        let (a, b) = (self.luminance() + 0.05, other.luminance() + 0.05);
        if a > b { a / b } else { b / a }
    }

    /// White or black, whichever reads better on it.
    pub fn text_on(self) -> Colour {
        let (white, black) = (Colour(255, 255, 255), Colour(0, 0, 0));
        if self.contrast(white) >= self.contrast(black) {
            white
        } else {
            black
        }
    }
}

/// The colour of a temperature in K.
pub fn temperature(kelvin: f64) -> Colour {
    let celsius = Kind::Temperature.metric().from_si(kelvin);
    let share = (celsius / 1000.0).clamp(0.0, 1.0).sqrt();
    let colour = colorous::CIVIDIS.eval_continuous(share);
    Colour(colour.r, colour.g, colour.b)
}

/// The colours of a theme, by the names that the style sheet gives them.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Palette {
    /// Behind everything.
    pub paper: Colour,
    /// Text, axes, walls.
    pub ink: Colour,
    /// Secondary text.
    pub ink2: Colour,
    /// Thin dividers.
    pub rule: Colour,
    /// Borders and uncertainty.
    pub edge: Colour,
    /// Boost building.
    pub rise: Colour,
    /// The gate holds boost.
    pub hold: Colour,
    /// At a limit.
    pub stop: Colour,
    /// A third candidate beside others.
    pub third: Colour,
    /// Efficiency, five neutral steps, low to high.
    pub steps: [Colour; 5],
}

impl Palette {
    /// Reads every colour by its name in the style sheet; one that is missing stays black.
    pub fn read(of: impl Fn(&str) -> String) -> Self {
        let colour = |name: &str| Colour::from_css(&of(name)).unwrap_or_default();
        Self {
            paper: colour("--paper"),
            ink: colour("--ink"),
            ink2: colour("--ink2"),
            rule: colour("--rule"),
            edge: colour("--edge"),
            rise: colour("--rise"),
            hold: colour("--hold"),
            stop: colour("--stop"),
            third: colour("--third"),
            steps: ["--step1", "--step2", "--step3", "--step4", "--step5"].map(colour),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// WCAG 2.2 defines the ratio so that black on white is 21.
    #[test]
    fn contrast_is_that_of_wcag() {
        assert!((Colour(0, 0, 0).contrast(Colour(255, 255, 255)) - 21.0).abs() < 1e-9);
    }

    /// WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for text.
    #[test]
    fn text_reads_on_every_temperature() {
        for celsius in 0..=1000 {
            let ground = temperature(Kind::Temperature.metric().to_si(f64::from(celsius)));
            assert!(ground.contrast(ground.text_on()) >= 4.5, "{celsius} °C");
        }
    }

    const STYLE: &str = include_str!("../../page.css");

    /// The tokens of the block that begins with `start`, over those of the light theme.
    fn tokens(start: &str) -> Palette {
        let block = |start: &str| {
            let from = STYLE
                .find(start)
                .unwrap_or_else(|| panic!("no {start:?} in the style sheet"));
            let to = STYLE[from..]
                .find('}')
                .map_or(STYLE.len(), |end| from + end);
            &STYLE[from..to]
        };
        let value = |block: &str, name: &str| {
            let (_, rest) = block.split_once(&format!("{name}:"))?;
            Some(rest.split(';').next()?.trim().to_owned())
        };
        Palette::read(|name| {
            value(block(start), name)
                .or_else(|| value(block(":root {"), name))
                .unwrap_or_else(|| panic!("no {name} in the style sheet"))
        })
    }

    const LIGHT: &str = ":root {";
    const DARK: &str = ":root[data-theme=\"dark\"] {";
    const DARK_BY_DEVICE: &str = "  :root:not([data-theme=\"light\"]) {";

    /// WCAG 2.2: 4.5 to 1 for text (1.4.3), 3 to 1 for lines and borders that carry meaning
    /// (1.4.11). Plots write in ink on every step of efficiency.
    #[test]
    fn every_theme_has_the_contrast_of_wcag() {
        for theme in [LIGHT, DARK, DARK_BY_DEVICE] {
            let palette = tokens(theme);
            let paper = palette.paper;
            for (name, text) in [("ink", palette.ink), ("ink2", palette.ink2)] {
                assert!(text.contrast(paper) >= 4.5, "{theme} {name}");
            }
            for step in palette.steps {
                assert!(palette.ink.contrast(step) >= 4.5, "{theme} ink on {step:?}");
            }
            let Palette {
                edge,
                rise,
                hold,
                stop,
                third,
                ..
            } = palette;
            for (name, line) in [
                ("edge", edge),
                ("rise", rise),
                ("hold", hold),
                ("stop", stop),
                ("third", third),
            ] {
                assert!(line.contrast(paper) >= 3.0, "{theme} {name}");
            }
        }
    }

    #[test]
    fn dark_is_the_same_by_choice_and_by_device() {
        assert_eq!(tokens(DARK), tokens(DARK_BY_DEVICE));
        assert_ne!(tokens(DARK), tokens(LIGHT));
    }

    #[test]
    fn reads_what_the_style_sheet_says() {
        assert_eq!(Colour::from_css(" #d55e00"), Some(Colour(0xd5, 0x5e, 0x00)));
        assert_eq!(Colour::from_css("red"), None);
        assert_eq!(Colour(0, 158, 115).css(), "#009e73");
    }
}
