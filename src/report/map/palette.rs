//! The colors of the rates: a path of our own through OKLab (B. Ottosson, "A perceptual color space
//! for image processing", 2020).
//!
//! Lightness falls evenly from dry straw to deep water, so that the order can be read in gray, in
//! bad light and without red or green; the hue turns from yellow over green to blue, the one turn
//! that such readers see, and gives neighbors a second difference.

/// A color in OKLab's cylinder: lightness 0 to 1, chroma, hue in degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Colour {
    pub lightness: f64,
    pub chroma: f64,
    pub hue: f64,
}

/// The lowest rate: light enough for black letters, dark enough to be told from paper.
const PALE: Colour = Colour { lightness: 0.95, chroma: 0.055, hue: 98.0 };
/// The highest: dark enough for its own pattern in white, light enough for a black border.
const DEEP: Colour = Colour { lightness: 0.46, chroma: 0.095, hue: 250.0 };

/// The color of the rate with a rank among so many, from 0 for the lowest.
pub fn rate_colour(rank: usize, ranks: usize) -> Colour {
    // A single rate is drawn as the paler third, which leaves black letters readable.
    let share = if ranks > 1 { rank as f64 / (ranks - 1) as f64 } else { 0.33 };
    let mix = |pale: f64, deep: f64| pale + share * (deep - pale);
    Colour {
        lightness: mix(PALE.lightness, DEEP.lightness),
        chroma: mix(PALE.chroma, DEEP.chroma),
        hue: mix(PALE.hue, DEEP.hue),
    }
}

impl Colour {
    /// The ink of lines that are drawn over it: clearly darker, or clearly lighter on a dark ground.
    pub fn ink(self) -> Self {
        let lightness =
            if self.lightness > 0.56 { self.lightness - 0.34 } else { self.lightness + 0.42 };
        Self { lightness: lightness.min(0.97), chroma: 0.6 * self.chroma, ..self }
    }

    /// As hexadecimal sRGB.
    pub fn hex(self) -> String {
        let [red, green, blue] = self.linear().map(byte);
        format!("#{red:02x}{green:02x}{blue:02x}")
    }

    /// Linear sRGB, 0 to 1, what the screen cannot show cut off.
    fn linear(self) -> [f64; 3] {
        let (sine, cosine) = libm::sincos(self.hue.to_radians());
        let (a, b) = (self.chroma * cosine, self.chroma * sine);
        let l = (self.lightness + 0.396_337_777_4 * a + 0.215_803_757_3 * b).powi(3);
        let m = (self.lightness - 0.105_561_345_8 * a - 0.063_854_172_8 * b).powi(3);
        let s = (self.lightness - 0.089_484_177_5 * a - 1.291_485_548_0 * b).powi(3);
        [
            4.076_741_662_1 * l - 3.307_711_591_3 * m + 0.230_969_929_2 * s,
            -1.268_438_004_6 * l + 2.609_757_401_1 * m - 0.341_319_396_5 * s,
            -0.004_196_086_3 * l - 0.703_418_614_7 * m + 1.707_614_701_0 * s,
        ]
        .map(|part| part.clamp(0.0, 1.0))
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "0 to 255, as linear parts are 0 to 1"
)]
fn byte(linear: f64) -> u8 {
    (255.0 * encoded(linear)).round() as u8
}

/// The transfer function of sRGB (IEC 61966-2-1).
fn encoded(linear: f64) -> f64 {
    if linear <= 0.003_130_8 {
        12.92 * linear
    } else {
        1.055 * libm::pow(linear, 1.0 / 2.4) - 0.055
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Linear sRGB to OKLab: Ottosson's matrices, the other way round.
    fn oklab([r, g, b]: [f64; 3]) -> [f64; 3] {
        let l = (0.412_221_470_8 * r + 0.536_332_536_3 * g + 0.051_445_992_9 * b).cbrt();
        let m = (0.211_903_498_2 * r + 0.680_699_545_1 * g + 0.107_396_956_6 * b).cbrt();
        let s = (0.088_302_461_9 * r + 0.281_718_837_6 * g + 0.629_978_700_5 * b).cbrt();
        [
            0.210_454_255_3 * l + 0.793_617_785_0 * m - 0.004_072_046_8 * s,
            1.977_998_495_1 * l - 2.428_592_205_0 * m + 0.450_593_709_9 * s,
            0.025_904_037_1 * l + 0.782_771_766_2 * m - 0.808_675_766_0 * s,
        ]
    }

    type Matrix = [[f64; 3]; 3];

    const PLAIN: Matrix = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    /// Severity 1.0 in G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A physiologically-based
    /// model for simulation of color vision deficiency", *IEEE Transactions on Visualization and
    /// Computer Graphics* 15(6), 2009, 1291-1298.
    const PROTANOPIA: Matrix = [
        [0.152_286, 1.052_583, -0.204_868],
        [0.114_503, 0.786_281, 0.099_216],
        [-0.003_882, -0.048_116, 1.051_998],
    ];
    const DEUTERANOPIA: Matrix = [
        [0.367_322, 0.860_646, -0.227_968],
        [0.280_085, 0.672_501, 0.047_413],
        [-0.011_820, 0.042_940, 0.968_881],
    ];

    fn seen(colour: Colour, eyes: Matrix) -> [f64; 3] {
        let light = colour.linear();
        let row = |row: [f64; 3]| row.iter().zip(light).map(|(a, b)| a * b).sum::<f64>();
        oklab(eyes.map(row).map(|part| part.clamp(0.0, 1.0)))
    }

    /// Ottosson's own reference values for white and for red.
    #[test]
    fn the_test_s_own_way_back_is_oklab() {
        let red = oklab([1.0, 0.0, 0.0]);
        for (found, expected) in red.iter().zip([0.628, 0.225, 0.126]) {
            assert!((found - expected).abs() < 1e-3);
        }
        let colour = rate_colour(1, 3);
        assert!(
            (oklab(colour.linear())[0] - colour.lightness).abs() < 1e-6,
            "within what is shown"
        );
    }

    /// With up to six rates neighbors differ by 0.07 or more, several times what is just seen
    /// (0.02); lightness alone makes most of it, for every kind of eyes and without color.
    #[test]
    fn rates_are_told_apart_by_every_reader() {
        for ranks in 2..=6 {
            for eyes in [PLAIN, PROTANOPIA, DEUTERANOPIA] {
                let seen: Vec<_> =
                    (0..ranks).map(|rank| seen(rate_colour(rank, ranks), eyes)).collect();
                for pair in seen.windows(2) {
                    let darker = pair[0][0] - pair[1][0];
                    let apart =
                        pair[0].iter().zip(pair[1]).map(|(a, b)| (a - b).powi(2)).sum::<f64>();
                    assert!(darker > 0.06, "{ranks} rates: darker by {darker}");
                    assert!(apart.sqrt() > 0.07, "{ranks} rates: {apart}");
                }
            }
        }
    }

    /// The pattern is seen on its ground: WCAG 2.2 (1.4.11) asks 3 to 1 of graphics.
    #[test]
    fn ink_is_seen_on_its_ground() {
        let luminance = |colour: Colour| {
            let [r, g, b] = colour.linear();
            0.2126 * r + 0.7152 * g + 0.0722 * b
        };
        for ranks in 1..=8 {
            for rank in 0..ranks {
                let ground = rate_colour(rank, ranks);
                let (a, b) = (luminance(ground), luminance(ground.ink()));
                let contrast = (a.max(b) + 0.05) / (a.min(b) + 0.05);
                assert!(contrast > 3.0, "{rank} of {ranks}: {contrast}");
            }
        }
    }

    #[test]
    fn colours_are_written_in_hexadecimal() {
        assert_eq!(Colour { lightness: 1.0, chroma: 0.0, hue: 0.0 }.hex(), "#ffffff");
        assert_eq!(Colour { lightness: 0.0, chroma: 0.0, hue: 0.0 }.hex(), "#000000");
    }
}
