//! A picture as dots of grey, with a bar of known length and the words that go with it; as PNG, and inside an SVG.

use super::letters;
use crate::study::Picture;

/// The paper, and what is written on it.
const PAPER: u8 = 246;
const INK: u8 = 40;
/// The greys of the darkest and the brightest steel.
const GREYS: (f32, f32) = (22.0, 232.0);

/// The grey of a brightness.
pub(super) fn grey(tone: f32) -> u8 {
    rounded(GREYS.0 + (GREYS.1 - GREYS.0) * tone)
}

/// The nearest grey; beyond the ends the end.
#[inline]
fn rounded(grey: f32) -> u8 {
    (grey + 0.5) as u8
}

/// A sheet of greys.
pub(super) struct Raster {
    pub wide: usize,
    pub tall: usize,
    pub greys: Vec<u8>,
}

impl Raster {
    /// A picture laid on paper: of each dot, as much as the piece takes of it.
    pub fn of(picture: &Picture) -> Raster {
        let [wide, tall] = picture.dots;
        let laid = |((tone, cover), line): (&(f32, f32), &bool)| {
            let (steel, paper) = (f32::from(grey(*tone)), f32::from(PAPER));
            if *line { INK } else { rounded(paper + (steel - paper) * cover) }
        };
        Raster { wide, tall, greys: picture.tones.iter().zip(&picture.lines).map(laid).collect() }
    }

    /// Some of them one below the other, each under its words.
    pub fn stacked(parts: &[(String, Raster)]) -> Raster {
        let widest = parts.iter().map(|(_, raster)| raster.wide).max().unwrap_or(1);
        let size = (widest / 480).max(1);
        let (across, down, margin) = (letters::ACROSS * size, letters::DOWN * size, 8 * size);
        let most = parts.iter().map(|(words, _)| words.chars().count() * across).max().unwrap_or(0);
        let high = |raster: &Raster| down + margin / 2 + raster.tall;
        let room = margin * parts.len().saturating_sub(1);
        let tall = parts.iter().map(|(_, raster)| high(raster)).sum::<usize>() + room;
        let wide = widest.max(most);
        let mut sheet = Raster { wide, tall, greys: vec![PAPER; wide * tall] };
        let mut top = 0;
        for (words, raster) in parts {
            sheet.write(words, 0, top, size);
            sheet.lay(raster, 0, top + down + margin / 2);
            top += high(raster) + margin;
        }
        sheet
    }

    fn lay(&mut self, other: &Raster, left: usize, top: usize) {
        for (row, from) in other.greys.chunks(other.wide).enumerate() {
            let start = (top + row) * self.wide + left;
            match self.greys.get_mut(start..start + from.len()) {
                Some(to) if left + from.len() <= self.wide => to.copy_from_slice(from),
                _ => bug!("a picture of {} dots on a sheet of {}", other.wide, self.wide),
            }
        }
    }

    /// The same with paper about it, a bar `bar` dots long, and words beside and below it.
    pub fn framed(&self, bar: usize, length: &str, words: &str) -> Raster {
        let size = (self.wide / 480).max(1);
        let margin = 8 * size;
        let (across, down) = (letters::ACROSS * size, letters::DOWN * size);
        let line = bar + across + length.len() * across;
        let wide = self.wide.max(line).max(words.len() * across) + 2 * margin;
        let tall = self.tall + 3 * margin + 2 * down + margin / 2;
        let mut sheet = Raster { wide, tall, greys: vec![PAPER; wide * tall] };
        sheet.lay(self, margin, margin);
        let top = self.tall + 2 * margin;
        for x in 0..bar {
            for y in 0..2 * size {
                sheet.put(margin + x, top + down / 2 - size + y, INK);
            }
        }
        for end in [0, bar.saturating_sub(size)] {
            for (x, y) in (0..size).flat_map(|x| (0..down - size).map(move |y| (x, y))) {
                sheet.put(margin + end + x, top + y, INK);
            }
        }
        sheet.write(length, margin + bar + across, top, size);
        sheet.write(words, margin, top + down + margin / 2, size);
        sheet
    }

    fn put(&mut self, x: usize, y: usize, grey: u8) {
        if x < self.wide
            && let Some(dot) = self.greys.get_mut(y * self.wide + x)
        {
            *dot = grey;
        }
    }

    fn write(&mut self, words: &str, left: usize, top: usize, size: usize) {
        for (x, y) in letters::dots(words) {
            for (dx, dy) in (0..size).flat_map(|dx| (0..size).map(move |dy| (dx, dy))) {
                self.put(left + x * size + dx, top + y * size + dy, INK);
            }
        }
    }

    /// As PNG: eight bits of grey.
    pub fn png(&self) -> Vec<u8> {
        let mut bytes = Vec::new();
        let (Ok(wide), Ok(tall)) = (u32::try_from(self.wide), u32::try_from(self.tall)) else {
            bug!("a picture of {} by {} dots", self.wide, self.tall)
        };
        let mut encoder = png::Encoder::new(&mut bytes, wide, tall);
        encoder.set_color(png::ColorType::Grayscale);
        encoder.set_depth(png::BitDepth::Eight);
        let written = encoder.write_header().and_then(|mut writer| {
            writer.write_image_data(&self.greys)?;
            writer.finish()
        });
        match written {
            Ok(()) => bytes,
            Err(error) => bug!("a picture that is no PNG: {error}"),
        }
    }
}
