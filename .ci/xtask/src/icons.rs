//! The page's icons, drawn from the mark in the page's head: `cargo xtask icons`.

use crate::shell::Shell;
use anyhow::Result;
use std::fs;

/// The mark's corners in the view box of the page's head, 52 wide and 34 high.
const MARK: &[(f64, f64)] = &[
    (2.0, 28.0),
    (10.0, 28.0),
    (18.0, 8.0),
    (26.0, 8.0),
    (29.0, 12.0),
    (33.0, 12.0),
    (36.0, 5.0),
    (42.0, 5.0),
    (48.0, 28.0),
    (50.0, 28.0),
];
/// Half the width of the mark's stroke, in the same view box.
const HALF_STROKE: f64 = 1.9;
/// The middle of the mark in its view box.
const MIDDLE: (f64, f64) = (26.0, 17.0);

/// The page's ink and paper, as in `web/page.css`.
const INK: [u8; 3] = [0x0f, 0x1e, 0x28];
const PAPER: [u8; 3] = [0xff, 0xff, 0xff];
/// How many shades lie between the two: the picture needs no more, and stays small.
const SHADES: u8 = 16;

/// Name, pixels a side, and the share of the width that the mark takes. A maskable icon keeps to
/// the circle of 40 % of its side that no mask cuts (W3C Web Application Manifest, "maskable").
const ICONS: &[(&str, u32, f64)] = &[
    ("192.png", 192, 0.8),
    ("512.png", 512, 0.8),
    ("maskable-512.png", 512, 0.6),
    ("touch-180.png", 180, 0.72),
];

/// Where the icons are.
const FOLDER: &str = "web/icons";

/// Writes every icon.
///
/// # Errors
/// When a file cannot be written.
pub fn draw_all(shell: &Shell) -> Result<()> {
    let folder = shell.root.join(FOLDER);
    fs::create_dir_all(&folder)?;
    for (name, side, share) in ICONS {
        fs::write(folder.join(name), draw(*side, *share)?)?;
        println!("{FOLDER}/{name}");
    }
    Ok(())
}

/// One icon as PNG: the mark in paper on ink.
fn draw(side: u32, share: f64) -> Result<Vec<u8>> {
    let scale = 52.0 / (f64::from(side) * share);
    let middle = f64::from(side) / 2.0;
    let mut pixels = Vec::with_capacity((side * side) as usize);
    for row in 0..side {
        for column in 0..side {
            let x = MIDDLE.0 + (f64::from(column) + 0.5 - middle) * scale;
            let y = MIDDLE.1 + (f64::from(row) + 0.5 - middle) * scale;
            // How much of the pixel the stroke covers, to a good approximation.
            let cover = ((HALF_STROKE - distance(x, y)) / scale + 0.5).clamp(0.0, 1.0);
            pixels.push((cover * f64::from(SHADES - 1)).round() as u8);
        }
    }
    let mut palette = Vec::new();
    for shade in 0..SHADES {
        for (ink, paper) in INK.iter().zip(PAPER) {
            let (ink, paper) = (f64::from(*ink), f64::from(paper));
            let part = f64::from(shade) / f64::from(SHADES - 1);
            palette.push((ink + (paper - ink) * part).round() as u8);
        }
    }
    // Four bits a pixel, two pixels a byte; every side is even.
    let packed: Vec<u8> = pixels.chunks(2).map(|two| two[0] << 4 | two[1]).collect();
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, side, side);
    encoder.set_color(png::ColorType::Indexed);
    encoder.set_depth(png::BitDepth::Four);
    encoder.set_palette(palette);
    encoder.set_compression(png::Compression::High);
    encoder.write_header()?.write_image_data(&packed)?;
    Ok(bytes)
}

/// How far the point is from the mark's line.
fn distance(x: f64, y: f64) -> f64 {
    MARK.windows(2)
        .map(|ends| {
            let ((x0, y0), (x1, y1)) = (ends[0], ends[1]);
            let (dx, dy) = (x1 - x0, y1 - y0);
            let along = (((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
            (x - x0 - along * dx).hypot(y - y0 - along * dy)
        })
        .fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use super::{FOLDER, ICONS, distance, draw};
    use crate::shell::Shell;

    #[test]
    fn the_icons_are_those_that_are_drawn() {
        let folder = Shell::new().root.join(FOLDER);
        for (name, side, share) in ICONS {
            let kept = std::fs::read(folder.join(name)).expect("cargo xtask icons writes it");
            let drawn = draw(*side, *share).expect("memory takes everything");
            let pixels = |bytes: &[u8]| {
                let mut reader = png::Decoder::new(std::io::Cursor::new(bytes))
                    .read_info()
                    .expect("it is a PNG");
                let mut pixels = vec![0; reader.output_buffer_size().expect("it is small")];
                reader.next_frame(&mut pixels).expect("it is whole");
                pixels
            };
            // By pixel: another version of the library may pack them differently.
            assert!(pixels(&kept) == pixels(&drawn), "{name}: cargo xtask icons");
        }
    }

    #[test]
    fn a_mask_cuts_nothing_off() {
        let (_, side, share) = ICONS[2];
        let scale = 52.0 / (f64::from(side) * share);
        // On the circle that no mask cuts, and outside it, the mark is not.
        for degree in 0..360 {
            let (sine, cosine) = f64::from(degree).to_radians().sin_cos();
            let radius = 0.4 * f64::from(side) * scale;
            let far = distance(26.0 + radius * cosine, 17.0 + radius * sine);
            assert!(far > super::HALF_STROKE, "{degree} degrees");
        }
    }
}
