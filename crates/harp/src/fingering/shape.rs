//! The price of one placed group by its relative shape: which fingers lie how far apart.
//!
//! The widest gap belongs between thumb and second finger (harp facts 3.1). The table is made so that the usual fingerings of harp facts 3.2
//! come out cheapest: third 2-1, fifth 3-1, sixth 3-1, octave 4-1, triad 3-2-1, four strings 4-3-2-1, 1-5-7, 1-5-8 and 1-5-10 4-2-1.

use super::prices::Prices;

/// How two neighbouring fingers of a group like to lie: `least` to `most` strings apart (a third is 2), and the price of each string closer or
/// wider. The bounds are common practice behind the usual fingerings; the prices are our own.
struct Ease {
    fingers: (u8, u8),
    least: i32,
    most: i32,
    narrow: i64,
    wide: i64,
}

const EASE: [Ease; 6] = [
    Ease { fingers: (2, 1), least: 1, most: 3, narrow: 3, wide: 2 },
    Ease { fingers: (3, 2), least: 1, most: 2, narrow: 3, wide: 4 },
    Ease { fingers: (4, 3), least: 1, most: 2, narrow: 3, wide: 3 },
    Ease { fingers: (3, 1), least: 4, most: 5, narrow: 3, wide: 3 },
    Ease { fingers: (4, 2), least: 3, most: 4, narrow: 3, wide: 8 },
    Ease { fingers: (4, 1), least: 6, most: 9, narrow: 3, wide: 4 },
];

/// The price of these fingers over these strings, lowest string first. `None` where the fingers are not in the order of the strings.
pub fn price(prices: &Prices, strings: &[i32], fingers: &[u8]) -> Option<i64> {
    if strings.len() != fingers.len() || !fingers.iter().all(|f| (1..=4).contains(f)) {
        return None;
    }
    let highest = i64::from(*fingers.last()?);
    let mut sum = prices.no_thumb * (highest - 1);
    for (two, pair) in strings.windows(2).zip(fingers.windows(2)) {
        let ease = EASE.iter().find(|e| e.fingers == (pair[0], pair[1]))?;
        let apart = two[1] - two[0];
        sum += ease.narrow * i64::from((ease.least - apart).max(0)) + ease.wide * i64::from((apart - ease.most).max(0));
    }
    Some(sum)
}

/// A hand that strains, whichever fingers form it: a wide gap away from the thumb, or a string beside the thumb inside a wide hand (harp
/// facts 3.1; the bounds are those of habit 5, all counted in strings apart).
pub fn strained(strings: &[i32]) -> bool {
    let [inner @ .., before_last, last] = strings else { return false };
    let others_wide = strings[..strings.len() - 1].windows(2).any(|w| w[1] - w[0] > 4);
    !inner.is_empty() && (others_wide || (last - strings[0] >= 8 && last - before_last < 2))
}

/// Every choice of fingers for so many strings, lowest string first, in a fixed order; `left_out` are never used.
pub fn choices(strings: usize, left_out: &[u8]) -> Vec<Vec<u8>> {
    (1_u8..16)
        .map(|set| (1..=4).rev().filter(|f| set >> (f - 1) & 1 == 1).collect::<Vec<u8>>())
        .filter(|fingers| fingers.len() == strings && !fingers.iter().any(|f| left_out.contains(f)))
        .collect()
}

/// The shape's own fingering: the cheapest, the first of equals. `None` for more strings than fingers.
pub fn own(prices: &Prices, strings: &[i32], left_out: &[u8]) -> Option<Vec<u8>> {
    choices(strings.len(), left_out).into_iter().min_by_key(|fingers| price(prices, strings, fingers))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn usual(rungs: &[i32]) -> String {
        own(&Prices::default(), rungs, &[]).unwrap_or_default().iter().map(u8::to_string).collect::<Vec<_>>().join("-")
    }

    /// Harp facts 3.2, usual fingerings (fifth, sixth and the open shapes read; the rest common practice).
    #[test]
    fn the_usual_fingerings_come_out() {
        let table: [(&[i32], &str); 12] = [
            (&[1], "1"),
            (&[1, 3], "2-1"),
            (&[1, 5], "3-1"),
            (&[1, 6], "3-1"),
            (&[1, 8], "4-1"),
            (&[1, 3, 5], "3-2-1"),
            (&[1, 3, 5, 8], "4-3-2-1"),
            (&[1, 5, 8, 10], "4-3-2-1"),
            (&[1, 5, 7], "4-2-1"),
            (&[1, 5, 8], "4-2-1"),
            (&[1, 5, 10], "4-2-1"),
            (&[1, 10], "4-1"),
        ];
        for (rungs, fingers) in table {
            assert_eq!(usual(rungs), fingers, "{rungs:?}");
        }
    }

    /// Figures: "finger 4 unwell: three strings"; the octave then goes to 3-1.
    #[test]
    fn a_spared_finger_is_never_chosen() {
        let prices = Prices::default();
        assert_eq!(own(&prices, &[1, 8], &[4]), Some(vec![3, 1]));
        assert_eq!(own(&prices, &[1, 3, 5, 8], &[4]), None);
        assert_eq!(choices(2, &[1]), vec![vec![3, 2], vec![4, 2], vec![4, 3]]);
    }

    /// Harp facts 9, example 49: C3 D3 E3 E4 lies well, C3 C4 D4 E4 strains.
    #[test]
    fn the_wide_gap_belongs_beside_the_thumb() {
        let prices = Prices::default();
        let four = [4, 3, 2, 1];
        assert!(price(&prices, &[21, 22, 23, 30], &four) < price(&prices, &[21, 28, 29, 30], &four));
    }
}
