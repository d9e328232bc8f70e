//! Cumulative channels become separate ones.

use super::fault::CountsFault;

/// A channel as written: its edges \[um\], an open end as 0 or infinity, and its counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Counted {
    /// Lower edge, 0 where there is none.
    pub(super) from: f64,
    /// Upper edge, infinite where there is none.
    pub(super) to: f64,
    /// Particles.
    pub(super) counts: u64,
    /// Where the row stands.
    pub(super) place: u32,
}

impl Counted {
    /// The same with the edges as somebody reads them.
    fn words(&self) -> String {
        super::read::channel(self.from, self.to).words()
    }
}

/// Takes from each channel those inside it that share an edge with it, until none share one.
///
/// Channels above 0.3, 0.5 and 1 um become 0.3 to 0.5, 0.5 to 1 and above 1 um: each counts its own particles only, so
/// that their counts are independent of one another. No two of the channels may be the same.
///
/// # Errors
/// A wider channel that counts fewer than a narrower one inside it, with the place of the wider one.
pub(super) fn differenced(channels: &mut [Counted]) -> Result<(), (CountsFault, u32)> {
    // Each pass splits one shared edge; a channel can be inside every other one.
    for _ in 0..channels.len() * channels.len() {
        let Some((wide, narrow)) = nested(channels) else { return Ok(()) };
        let (w, n) = (channels[wide], channels[narrow]);
        let Some(counts) = w.counts.checked_sub(n.counts) else {
            let fault = CountsFault::WiderCountsFewer {
                wide: w.words(),
                wide_counts: w.counts,
                narrow: n.words(),
                narrow_counts: n.counts,
            };
            return Err((fault, w.place));
        };
        channels[wide].counts = counts;
        if same(w.to, n.to) {
            channels[wide].to = n.from;
        } else {
            channels[wide].from = n.to;
        }
    }
    Ok(())
}

/// A channel and the widest other one inside it that shares an edge with it.
fn nested(channels: &[Counted]) -> Option<(usize, usize)> {
    let is_inside = |n: &Counted, w: &Counted| {
        (same(n.to, w.to) && n.from > w.from) || (same(n.from, w.from) && n.to < w.to)
    };
    (0..channels.len()).find_map(|wide| {
        let inside = (0..channels.len()).filter(|&n| is_inside(&channels[n], &channels[wide]));
        let fewest_taken = |a: &usize, b: &usize| {
            let (a, b) = (&channels[*a], &channels[*b]);
            a.from.total_cmp(&b.from).reverse().then(a.to.total_cmp(&b.to))
        };
        inside.max_by(fewest_taken).map(|narrow| (wide, narrow))
    })
}

/// Two channels that share sizes, after differencing.
pub(super) fn overlapping(channels: &[Counted]) -> Option<(String, String, u32)> {
    let mut sorted: Vec<&Counted> = channels.iter().collect();
    sorted.sort_by(|a, b| a.from.total_cmp(&b.from).then(a.to.total_cmp(&b.to)));
    let pair = sorted.windows(2).find(|pair| pair[1].from < pair[0].to)?;
    Some((pair[0].words(), pair[1].words(), pair[1].place))
}

/// Whether two edges are the same: they were read from numbers as written.
pub(super) fn same(a: f64, b: f64) -> bool {
    a.total_cmp(&b).is_eq()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn counted(rows: &[(f64, f64, u64)]) -> Vec<Counted> {
        rows.iter().map(|&(from, to, counts)| Counted { from, to, counts, place: 0 }).collect()
    }

    fn sorted(mut channels: Vec<Counted>) -> Vec<(f64, f64, u64)> {
        channels.sort_by(|a, b| a.from.total_cmp(&b.from));
        channels.iter().map(|c| (c.from, c.to, c.counts)).collect()
    }

    #[test]
    fn everything_above_becomes_separate_channels() {
        let above = f64::INFINITY;
        let mut channels =
            counted(&[(1.0, above, 40), (0.3, above, 1104), (5.0, above, 3), (0.5, above, 300)]);
        differenced(&mut channels).unwrap();
        let expected = [(0.3, 0.5, 804), (0.5, 1.0, 260), (1.0, 5.0, 37), (5.0, above, 3)];
        assert_eq!(sorted(channels), expected);
    }

    #[test]
    fn everything_below_and_mixtures_too() {
        let above = f64::INFINITY;
        let mut below = counted(&[(0.0, 0.3, 10), (0.0, 0.5, 14), (0.0, 1.0, 15)]);
        differenced(&mut below).unwrap();
        assert_eq!(sorted(below), [(0.0, 0.3, 10), (0.3, 0.5, 4), (0.5, 1.0, 1)]);
        let mut mixed = counted(&[(0.3, 0.5, 60), (0.3, above, 100), (0.5, 1.0, 30)]);
        differenced(&mut mixed).unwrap();
        assert_eq!(sorted(mixed), [(0.3, 0.5, 60), (0.5, 1.0, 30), (1.0, above, 10)]);
    }

    #[test]
    fn separate_channels_stay_as_they_are() {
        let rows = [(0.3, 0.5, 60), (0.5, 1.0, 30), (1.0, f64::INFINITY, 10)];
        let mut channels = counted(&rows);
        differenced(&mut channels).unwrap();
        assert_eq!(sorted(channels.clone()), rows);
        assert_eq!(overlapping(&channels), None);
    }

    #[test]
    fn a_wider_channel_that_counts_fewer_is_found() {
        let mut channels = counted(&[(0.3, f64::INFINITY, 20), (0.5, f64::INFINITY, 21)]);
        let (fault, _) = differenced(&mut channels).unwrap_err();
        let said = "the channel above 0.3 um counts 20, fewer than the 21 of above 0.5 um inside it";
        assert_eq!(fault.to_string(), said);
    }

    #[test]
    fn channels_that_overlap_are_named() {
        let channels = counted(&[(0.3, 1.0, 60), (0.5, 2.0, 30)]);
        let (one, other, _) = overlapping(&channels).unwrap();
        assert_eq!((one.as_str(), other.as_str()), ("0.3 to 1 um", "0.5 to 2 um"));
    }
}
