//! Numbers that look random, the same in every run.

/// `SplitMix64` (Steele, Lea & Flood, *Fast Splittable Pseudorandom Number Generators*, 2014; from
/// memory), seeded with its number.
#[derive(Clone, Debug)]
pub struct Random(pub u64);

impl Random {
    /// The next number, at least `low` and less than `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        bits ^= bits >> 31;
        low + (high - low) * (bits >> 11) as f64 / (1_u64 << 53) as f64
    }
}
