//! A picture as dots of grey, with a bar of known length and the words that go with it; as PNG, and inside an SVG.

use super::letters;

/// The paper, and what is written on it.
const PAPER: u8 = 246;
const INK: u8 = 40;
/// The greys of the darkest and the brightest steel.
const GREYS: (f32, f32) = (22.0, 232.0);

/// The grey of a brightness.
pub(super) fn grey(tone: f32) -> u8 {
    (GREYS.0 + (GREYS.1 - GREYS.0) * tone).round().clamp(0.0, 255.0) as u8
}

/// A sheet of greys.
pub(super) struct Raster {
    pub wide: usize,
    pub tall: usize,
    pub greys: Vec<u8>,
}

impl Raster {
    /// Dots of a brightness, and of how much of each the piece takes, laid on paper.
    pub fn of(wide: usize, tall: usize, tones: &[(f32, f32)]) -> Raster {
        let laid = |(tone, cover): &(f32, f32)| {
            let (steel, paper) = (f32::from(grey(*tone)), f32::from(PAPER));
            (paper + (steel - paper) * cover).round() as u8
        };
        Raster { wide, tall, greys: tones.iter().map(laid).collect() }
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
        for (row, from) in self.greys.chunks(self.wide).enumerate() {
            for (x, grey) in from.iter().enumerate() {
                sheet.put(margin + x, margin + row, *grey);
            }
        }
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
