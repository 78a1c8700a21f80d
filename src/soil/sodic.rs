use crate::units::{Density, Length, Rate, Share};

/// The layer of a sodic soil that is to be reclaimed, and how far.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SodicLayer {
    /// How deep it is.
    pub depth: Length,
    /// Its bulk density.
    pub density: Density,
    /// The exchangeable sodium percentage (ESP) that is to be left.
    pub target: Share,
}

/// The plough layer of 2,000,000 lb/ac that laboratories count in, as 6 in of 2,000,000 lb /
/// 21,780 ft3 = 91.83 lb/ft3; and no more sodium than a soil may have that is not sodic.
impl Default for SodicLayer {
    fn default() -> Self {
        Self {
            depth: Length::inches(6.0),
            density: Density::pounds_per_cubic_foot(2_000_000.0 / 21_780.0),
            target: Self::SODIC,
        }
    }
}

impl SodicLayer {
    /// Above this ESP a soil is sodic (U.S. Salinity Laboratory, *Diagnosis and Improvement of
    /// Saline and Alkali Soils*, Agriculture Handbook 60, 1954).
    pub const SODIC: Share = Share::percent(15.0);

    /// Between these lies the factor for the calcium that does not replace sodium: it depends on
    /// the ESP that is to be left (North Dakota State University after Oster and others, 1999).
    pub const FACTORS: [f64; 2] = [1.1, 1.3];

    /// The pure gypsum that brings a CEC in meq/100 g from one ESP to the layer's target; none where
    /// the ESP is not above it.
    ///
    /// In Mg/ha: 8.6 x factor x depth in m x bulk density in Mg/m3 x CEC x (ESP - target) / 100,
    /// shares in percent. Half a mole of gypsum, 86.09 g, replaces a mole of sodium (J. D. Oster,
    /// I. Shainberg, I. P. Abrol, "Reclamation of salt-affected soils", *Agricultural Drainage*,
    /// Agronomy Monograph 38, 1999, 659-691; as the NDSU gypsum requirement calculator has it, with
    /// a purity of 100 %).
    #[must_use]
    pub fn requirement(&self, cec: f64, esp: Share, factor: f64) -> Rate {
        let off = (esp - self.target).as_percent().max(0.0);
        let soil = self.depth.as_metres() * self.density.as_tonnes_per_cubic_metre();
        Rate::tonnes_per_hectare(8.6 * factor * soil * cec * off / 100.0)
    }

    /// The requirement by the least and by the greatest factor.
    #[must_use]
    pub fn requirement_range(&self, cec: f64, esp: Share) -> [Rate; 2] {
        Self::FACTORS.map(|factor| self.requirement(cec, esp, factor))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// *Practices of Irrigation & On-farm Water Management*, example 8.7: ESP 35 to 15, CEC 22,
    /// 40 cm take 22.58 t/ha, with a safety factor of 1.25 28.23 t/ha. The book counts 3.85 t for
    /// 1 meq/100 g in 1 ha and 30 cm, so (3.85 x 4.4 / 30) x 40 = 22.5867, which it prints cut off,
    /// not rounded. In Oster's form 8.6 x 0.30 m x bulk density is that 3.85 at 1.4922 Mg/m3.
    #[test]
    fn water_management_example() {
        let layer = SodicLayer {
            depth: Length::centimetres(40.0),
            density: Density::tonnes_per_cubic_metre(3.85 / (8.6 * 0.30)),
            target: Share::percent(15.0),
        };
        let rate = |factor| layer.requirement(22.0, Share::percent(35.0), factor);
        let [plain, safe] = [1.0, 1.25].map(|factor| rate(factor).as_tonnes_per_hectare());
        assert!((plain - 3.85 * 4.4 / 30.0 * 40.0).abs() < 1e-9);
        assert_eq!(format!("{:.2}", (100.0 * plain).floor() / 100.0), "22.58");
        assert_eq!(format!("{safe:.2}"), "28.23");
    }

    /// The same book, a page before: a foot of an acre takes 1.7 tons of pure gypsum for each
    /// meq/100 g of sodium. An acre-foot is 4,000,000 lb, twice the default layer of 6 in.
    #[test]
    fn an_acre_foot() {
        let layer =
            SodicLayer { depth: Length::feet(1.0), target: Share::ZERO, ..SodicLayer::default() };
        let one_meq = layer.requirement(10.0, Share::percent(10.0), 1.0);
        assert_eq!(format!("{:.1}", one_meq.as_tons_per_acre()), "1.7");
    }

    /// The form itself, as the North Dakota State University calculator prints it, by hand:
    /// 8.6 x 1.1 x 0.15 x 1.3 x 20 x (20 - 10) / 100 = 3.68940 Mg/ha, x 0.44609 = 1.64580 ton/ac.
    #[test]
    fn ndsu_form() {
        let layer = SodicLayer {
            depth: Length::metres(0.15),
            density: Density::tonnes_per_cubic_metre(1.3),
            target: Share::percent(10.0),
        };
        let [least, most] = layer.requirement_range(20.0, Share::percent(20.0));
        assert!((least.as_tonnes_per_hectare() - 3.689_40).abs() < 1e-9);
        assert!((least.as_tons_per_acre() - 1.645_80).abs() < 5e-5);
        assert!((most / least - 1.3 / 1.1).abs() < 1e-12);
        assert_eq!(layer.requirement(20.0, Share::percent(10.0), 1.1), Rate::ZERO);
        assert_eq!(layer.requirement(20.0, Share::percent(2.0), 1.1), Rate::ZERO);
    }
}
