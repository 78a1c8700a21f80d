/// Numbers from a fixed sequence, the same on every machine: splitmix64 (G. L. Steele, D. Lea,
/// C. H. Flood, "Fast splittable pseudorandom number generators", *OOPSLA* 2014, 453-472).
pub(crate) struct Generator(u64);

impl Generator {
    /// The sequence of a number.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// In [0, 1).
    pub fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A whole number below a bound; 0 for a bound of 0.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a share of a count, rounded down"
    )]
    pub fn below(&mut self, bound: usize) -> usize {
        ((self.share() * bound as f64) as usize).min(bound.saturating_sub(1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first number of the sequence of 1234567, as published with the generator's C source
    /// (S. Vigna, prng.di.unimi.it; the test vector of the Rosetta Code page on splitmix64).
    #[test]
    fn the_sequence_is_the_published_one() {
        let mut generator = Generator::new(1_234_567);
        assert_eq!(generator.next(), 6_457_827_717_110_365_317);
        assert_eq!(generator.next(), 3_203_168_211_198_807_973);
    }
}
