use super::Cations;
use crate::units::{Share, apportion, round_to};

/// The parts of the cation-exchange capacity that the base cations hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saturation {
    /// Held by calcium.
    pub calcium: Share,
    /// Held by magnesium.
    pub magnesium: Share,
    /// Held by potassium.
    pub potassium: Share,
    /// Held by sodium; `None` where the laboratory did not measure it.
    pub sodium: Option<Share>,
}

impl Saturation {
    /// The saturation of a CEC in meq/100 g. Over 100 % in all where the extract dissolved lime or
    /// salts along with what is exchangeable.
    #[must_use]
    pub fn new(cations: &Cations, cec: f64) -> Self {
        let share = |amount: f64| Share::percent(100.0 * amount / cec);
        Self {
            calcium: share(cations.calcium),
            magnesium: share(cations.magnesium),
            potassium: share(cations.potassium),
            sodium: cations.sodium.map(share),
        }
    }

    /// Base saturation: all of them; sodium counts as nothing where it was not measured.
    #[must_use]
    pub fn bases(&self) -> Share {
        self.calcium + self.magnesium + self.potassium + self.sodium.unwrap_or(Share::ZERO)
    }

    /// Calcium, magnesium, potassium, sodium and the sum as printed, in percent: the first four add
    /// up to the last.
    #[must_use]
    pub fn printed(&self) -> [f64; 5] {
        const DECIMALS: u32 = 1;
        let sodium = self.sodium.unwrap_or(Share::ZERO);
        let parts = [self.calcium, self.magnesium, self.potassium, sodium].map(Share::as_percent);
        let sum = round_to(self.bases().as_percent(), DECIMALS);
        let parts = apportion(&parts, sum, DECIMALS);
        let part = |number: usize| parts.get(number).copied().unwrap_or(0.0);
        [part(0), part(1), part(2), part(3), sum]
    }

    /// The mean of several, each counting the same; sodium only if all have it.
    #[must_use]
    pub fn mean(several: &[Self]) -> Option<Self> {
        if several.is_empty() {
            return None;
        }
        let count = several.len() as f64;
        let mean = |of: fn(&Self) -> Share| several.iter().map(of).sum::<Share>() / count;
        let sodium: Option<Vec<Share>> = several.iter().map(|one| one.sodium).collect();
        Some(Self {
            calcium: mean(|one| one.calcium),
            magnesium: mean(|one| one.magnesium),
            potassium: mean(|one| one.potassium),
            sodium: sodium.map(|all| all.into_iter().sum::<Share>() / count),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::soil::buffer_acidity;

    /// Worked example of the Clemson Agricultural Service Laboratory, as printed: buffer pH 7.70 and
    /// K 221, Mg 28, Ca 400, Na 12 lb/ac give 2.40 + .28 + .12 + 1.00 + .03 = 3.83 meq/100 g and a
    /// base saturation of 37 %. By hand: 221/782 + 28/240 + 400/400 + 12/460 = 1.4254; over 3.8254
    /// that is 37.26 %, of which Ca 26.14, Mg 3.05, K 7.39, Na 0.68.
    #[test]
    fn clemson_example() {
        let cations = Cations {
            potassium: 221.0 / 782.0,
            magnesium: 28.0 / 240.0,
            calcium: 400.0 / 400.0,
            sodium: Some(12.0 / 460.0),
        };
        let acidity = buffer_acidity(7.70, 8.00, 8.0);
        let printed = [acidity, cations.potassium, cations.magnesium, cations.calcium];
        assert_eq!(printed.map(|meq| format!("{meq:.2}")), ["2.40", "0.28", "0.12", "1.00"]);
        assert_eq!(format!("{:.2}", cations.sodium.unwrap()), "0.03");
        let cec = cations.cec(acidity);
        assert_eq!(format!("{cec:.2}"), "3.83");
        let saturation = Saturation::new(&cations, cec);
        assert_eq!(format!("{:.0}", saturation.bases().as_percent()), "37");
        let parts = [saturation.calcium, saturation.magnesium, saturation.potassium];
        assert_eq!(
            parts.map(|part| format!("{:.2}", part.as_percent())),
            ["26.14", "3.05", "7.39"]
        );
        assert_eq!(format!("{:.2}", saturation.sodium.unwrap().as_percent()), "0.68");
        assert_eq!(saturation.printed(), [26.1, 3.1, 7.4, 0.7, 37.3]);
    }

    #[test]
    fn a_mean_has_sodium_only_if_all_do() {
        let one = |percent: f64, sodium: Option<f64>| Saturation {
            calcium: Share::percent(percent),
            magnesium: Share::percent(10.0),
            potassium: Share::percent(2.0),
            sodium: sodium.map(Share::percent),
        };
        let both = Saturation::mean(&[one(60.0, Some(1.0)), one(70.0, Some(2.0))]).unwrap();
        assert!((both.calcium.as_percent() - 65.0).abs() < 1e-12);
        assert!((both.bases().as_percent() - 78.5).abs() < 1e-12);
        assert_eq!(
            Saturation::mean(&[one(60.0, Some(1.0)), one(70.0, None)]).unwrap().sodium,
            None
        );
        assert_eq!(Saturation::mean(&[]), None);
    }
}
