//! Curves cut at the edge of a panel, and cut into dashes.

/// A point of the picture (px), y downwards.
pub(super) type Point = (f64, f64);

/// A rectangle with its sides along the axes (px).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rect {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) right: f64,
    pub(super) bottom: f64,
}

impl Rect {
    pub(super) fn width(self) -> f64 {
        self.right - self.left
    }

    pub(super) fn height(self) -> f64 {
        self.bottom - self.top
    }

    pub(super) fn grown(self, by: f64) -> Self {
        Self { left: self.left - by, top: self.top - by, right: self.right + by, bottom: self.bottom + by }
    }

    pub(super) fn overlaps(self, other: Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    #[cfg(test)]
    pub(super) fn holds(self, inner: Self) -> bool {
        self.left <= inner.left
            && inner.right <= self.right
            && self.top <= inner.top
            && inner.bottom <= self.bottom
    }

    pub(super) fn has(self, point: Point) -> bool {
        (self.left..=self.right).contains(&point.0) && (self.top..=self.bottom).contains(&point.1)
    }
}

/// The part of a segment inside a rectangle (Liang and Barsky).
pub(super) fn segment(a: Point, b: Point, rect: Rect) -> Option<(Point, Point)> {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let sides =
        [(-dx, a.0 - rect.left), (dx, rect.right - a.0), (-dy, a.1 - rect.top), (dy, rect.bottom - a.1)];
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for (slope, room) in sides {
        if slope == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if slope < 0.0 {
            enter = enter.max(room / slope);
        } else {
            leave = leave.min(room / slope);
        }
    }
    let at = |t: f64| (a.0 + t * dx, a.1 + t * dy);
    let start = if enter > 0.0 { at(enter) } else { a };
    let end = if leave < 1.0 { at(leave) } else { b };
    (enter <= leave).then_some((start, end))
}

/// The pieces of a curve inside a rectangle. A point that is not finite ends a piece.
pub(super) fn polyline(points: &[Point], rect: Rect) -> Vec<Vec<Point>> {
    let finite = |p: Point| p.0.is_finite() && p.1.is_finite();
    let mut pieces: Vec<Vec<Point>> = Vec::new();
    let mut piece: Vec<Point> = Vec::new();
    for pair in points.windows(2) {
        let inside = if finite(pair[0]) && finite(pair[1]) { segment(pair[0], pair[1], rect) } else { None };
        match inside {
            Some((start, end)) => {
                if piece.last() != Some(&start) {
                    pieces.push(std::mem::take(&mut piece));
                    piece.push(start);
                }
                piece.push(end);
            }
            None => pieces.push(std::mem::take(&mut piece)),
        }
    }
    pieces.push(piece);
    pieces.retain(|piece| piece.len() > 1);
    pieces
}

/// A polygon cut to a rectangle (Sutherland and Hodgman); empty where nothing is left.
pub(super) fn polygon(points: &[Point], rect: Rect) -> Vec<Point> {
    let sides: [fn(Point, Rect) -> f64; 4] =
        [|p, r| p.0 - r.left, |p, r| r.right - p.0, |p, r| p.1 - r.top, |p, r| r.bottom - p.1];
    let mut kept = points.to_vec();
    for room in sides {
        let ring = std::mem::take(&mut kept);
        for (i, &here) in ring.iter().enumerate() {
            let before = ring[(i + ring.len() - 1) % ring.len()];
            let (at_here, at_before) = (room(here, rect), room(before, rect));
            if (at_here >= 0.0) != (at_before >= 0.0) {
                let t = at_before / (at_before - at_here);
                kept.push((before.0 + t * (here.0 - before.0), before.1 + t * (here.1 - before.1)));
            }
            if at_here >= 0.0 {
                kept.push(here);
            }
        }
    }
    kept
}

/// A curve cut into dashes: lengths on and off in turn (px).
pub(super) fn dashes(points: &[Point], pattern: &[f64]) -> Vec<Vec<Point>> {
    if pattern.len() < 2 || pattern.iter().any(|length| *length <= 0.0) {
        return vec![points.to_vec()];
    }
    let mut pieces = Vec::new();
    let (mut stage, mut left) = (0, pattern[0]);
    let mut piece: Vec<Point> = points.first().copied().into_iter().collect();
    for pair in points.windows(2) {
        let (mut from, to) = (pair[0], pair[1]);
        loop {
            let length = libm::hypot(to.0 - from.0, to.1 - from.1);
            if length < left {
                left -= length;
                if length > 0.0 {
                    piece.push(to);
                }
                break;
            }
            let t = left / length;
            from = (from.0 + t * (to.0 - from.0), from.1 + t * (to.1 - from.1));
            piece.push(from);
            if stage % 2 == 0 {
                pieces.push(std::mem::take(&mut piece));
            }
            piece = vec![from];
            stage = (stage + 1) % pattern.len();
            left = pattern[stage];
        }
    }
    if stage % 2 == 0 && piece.len() > 1 {
        pieces.push(piece);
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    const RECT: Rect = Rect { left: 0.0, top: 0.0, right: 10.0, bottom: 10.0 };

    #[test]
    fn a_segment_is_cut_where_it_crosses() {
        assert_eq!(segment((-5.0, 5.0), (15.0, 5.0), RECT), Some(((0.0, 5.0), (10.0, 5.0))));
        assert_eq!(segment((-5.0, -1.0), (15.0, -1.0), RECT), None);
        assert_eq!(segment((1.0, 1.0), (2.0, 3.0), RECT), Some(((1.0, 1.0), (2.0, 3.0))));
    }

    #[test]
    fn a_curve_that_leaves_and_returns_is_two_pieces() {
        let curve =
            [(1.0, 5.0), (3.0, -5.0), (5.0, -5.0), (7.0, 5.0), (f64::NAN, 5.0), (8.0, 5.0), (9.0, 5.0)];
        let pieces = polyline(&curve, RECT);
        assert_eq!(
            pieces,
            [vec![(1.0, 5.0), (2.0, 0.0)], vec![(6.0, 0.0), (7.0, 5.0)], vec![(8.0, 5.0), (9.0, 5.0)]]
        );
    }

    #[test]
    fn a_polygon_keeps_the_area_inside() {
        let square = [(5.0, 5.0), (15.0, 5.0), (15.0, 15.0), (5.0, 15.0)];
        let cut = polygon(&square, RECT);
        let area: f64 = (0..cut.len())
            .map(|i| {
                let (a, b) = (cut[i], cut[(i + 1) % cut.len()]);
                (a.0 * b.1 - b.0 * a.1) / 2.0
            })
            .sum();
        assert!((area.abs() - 25.0).abs() < 1e-9, "{cut:?} has area {area}");
        assert!(polygon(&[(20.0, 1.0), (30.0, 1.0), (30.0, 2.0)], RECT).is_empty());
    }

    #[test]
    fn dashes_cover_their_share_of_the_length() {
        let curve: Vec<Point> = (0..=100).map(|i| (f64::from(i), 0.0)).collect();
        let pieces = dashes(&curve, &[3.0, 2.0]);
        let inked: f64 = pieces.iter().map(|p| p[p.len() - 1].0 - p[0].0).sum();
        assert!((inked - 60.0).abs() < 1e-9, "{inked}");
        assert_eq!(pieces.len(), 20);
        assert_eq!(dashes(&curve, &[]), std::slice::from_ref(&curve));
    }
}
