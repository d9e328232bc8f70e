//! Where labels stand so that none covers another, nor a curve if it can be helped.

use super::clip::{Point, Rect, segment};

/// Centres of labels of one height along a line, as near as possible to where they are wanted, none touching another.
///
/// Where they do not fit between `low` and `high` they are spread evenly over that length.
pub(super) fn spread(wanted: &[f64], height: f64, low: f64, high: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|a, b| wanted[*a].total_cmp(&wanted[*b]));
    let crowded = height * wanted.len() as f64 > high - low;
    let step = if crowded { (high - low) / wanted.len() as f64 } else { height };
    // Blocks of touching labels, each at the mean of what its members want (pool adjacent violators).
    let mut blocks: Vec<Block> = Vec::new();
    for &i in &order {
        blocks.push(Block { count: 1.0, top: wanted[i] - step / 2.0 }.within(step, low, high));
        while let [.., above, below] = blocks.as_slice() {
            if above.top + above.count * step <= below.top + 1e-9 {
                break;
            }
            let count = above.count + below.count;
            let pull = above.top * above.count + (below.top - above.count * step) * below.count;
            let joined = Block { count, top: pull / count }.within(step, low, high);
            blocks.truncate(blocks.len() - 2);
            blocks.push(joined);
        }
    }
    let mut centres = vec![0.0; wanted.len()];
    let mut rank = order.into_iter();
    for block in blocks {
        let mut centre = block.top + step / 2.0;
        let mut left = block.count;
        while left > 0.5 {
            if let Some(i) = rank.next() {
                centres[i] = centre;
            }
            centre += step;
            left -= 1.0;
        }
    }
    centres
}

/// Labels that touch, taken as one.
#[derive(Debug, Clone, Copy)]
struct Block {
    count: f64,
    top: f64,
}

impl Block {
    fn within(self, step: f64, low: f64, high: f64) -> Self {
        let top = self.top.min(high - self.count * step).max(low);
        Self { top, ..self }
    }
}

/// Finds room for labels beside points of a panel.
#[derive(Debug)]
pub(super) struct Placer {
    frame: Rect,
    taken: Vec<Rect>,
    curves: Vec<Vec<Point>>,
}

/// Directions from a point to its label, the preferred first.
const DIRECTIONS: [Point; 8] =
    [(0.7, -0.7), (-0.7, -0.7), (0.7, 0.7), (-0.7, 0.7), (0.0, -1.0), (0.0, 1.0), (1.0, 0.0), (-1.0, 0.0)];

/// Gaps between a point and its label that are tried (px).
const GAPS: [f64; 8] = [6.0, 10.0, 16.0, 24.0, 36.0, 52.0, 76.0, 110.0];

impl Placer {
    /// A placer for labels inside `frame` that keep off `curves` where they can.
    pub(super) fn new(frame: Rect, curves: Vec<Vec<Point>>) -> Self {
        Self { frame, taken: Vec::new(), curves }
    }

    /// Keeps later labels off a rectangle.
    pub(super) fn block(&mut self, rect: Rect) {
        self.taken.push(rect);
    }

    /// The place of a label of `size` that belongs to `point`; taken from then on.
    pub(super) fn place(&mut self, point: Point, size: (f64, f64)) -> Rect {
        let mut best: Option<(f64, Rect)> = None;
        for (ring, gap) in GAPS.into_iter().enumerate() {
            for (rank, direction) in DIRECTIONS.into_iter().enumerate() {
                let rect = beside(point, size, direction, gap);
                let rect = moved_into(rect, self.frame);
                let cost = self.cost(rect, point) + 2.0 * ring as f64 + 0.2 * rank as f64;
                if best.is_none_or(|(least, _)| cost < least) {
                    best = Some((cost, rect));
                }
            }
        }
        let rect = best.map_or_else(|| beside(point, size, DIRECTIONS[0], GAPS[0]), |(_, rect)| rect);
        self.taken.push(rect);
        rect
    }

    /// A label on a label is worst, then one on its own point, then one on a curve.
    fn cost(&self, rect: Rect, point: Point) -> f64 {
        let on_labels = self.taken.iter().filter(|taken| taken.overlaps(rect)).count() as f64;
        let on_point = if rect.grown(3.0).has(point) { 1.0 } else { 0.0 };
        let crossed = |curve: &&Vec<Point>| curve.windows(2).any(|p| segment(p[0], p[1], rect).is_some());
        let on_curves = self.curves.iter().filter(crossed).count() as f64;
        1000.0 * on_labels + 100.0 * on_point + 10.0 * on_curves
    }
}

fn beside(point: Point, size: (f64, f64), direction: Point, gap: f64) -> Rect {
    let centre = (
        point.0 + direction.0 * gap + side(direction.0) * size.0 / 2.0,
        point.1 + direction.1 * gap + side(direction.1) * size.1 / 2.0,
    );
    Rect {
        left: centre.0 - size.0 / 2.0,
        top: centre.1 - size.1 / 2.0,
        right: centre.0 + size.0 / 2.0,
        bottom: centre.1 + size.1 / 2.0,
    }
}

/// The sign of a direction, 0 for none: a label is centred on its point along that axis.
fn side(direction: f64) -> f64 {
    if direction == 0.0 { 0.0 } else { direction.signum() }
}

fn moved_into(rect: Rect, frame: Rect) -> Rect {
    let by = |low: f64, high: f64, from: f64, to: f64| (from - low).max(0.0) - (high - to).max(0.0);
    let (dx, dy) = (
        by(rect.left, rect.right, frame.left, frame.right),
        by(rect.top, rect.bottom, frame.top, frame.bottom),
    );
    Rect { left: rect.left + dx, top: rect.top + dy, right: rect.right + dx, bottom: rect.bottom + dy }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAME: Rect = Rect { left: 0.0, top: 0.0, right: 400.0, bottom: 300.0 };

    #[test]
    fn labels_with_room_stay_where_they_are_wanted() {
        assert_eq!(spread(&[100.0, 20.0, 60.0], 16.0, 0.0, 300.0), [100.0, 20.0, 60.0]);
    }

    #[test]
    fn labels_that_would_touch_are_pushed_apart_evenly() {
        let centres = spread(&[100.0, 104.0, 101.0], 16.0, 0.0, 300.0);
        assert!((centres[2] - centres[0] - 16.0).abs() < 1e-9, "{centres:?}");
        assert!((centres[1] - centres[2] - 16.0).abs() < 1e-9, "{centres:?}");
        let mean = centres.iter().sum::<f64>() / 3.0;
        assert!((mean - 305.0 / 3.0).abs() < 1e-9, "{centres:?}");
    }

    #[test]
    fn labels_at_the_edge_stay_inside_and_apart() {
        for wanted in [[2.0, 1.0, 0.0, 3.0, 290.0], [299.0, 300.0, 298.0, 150.0, 301.0]] {
            let mut centres = spread(&wanted, 16.0, 0.0, 300.0);
            centres.sort_by(f64::total_cmp);
            assert!(centres[0] >= 8.0 - 1e-9 && centres[4] <= 292.0 + 1e-9, "{centres:?}");
            assert!(centres.windows(2).all(|p| p[1] - p[0] >= 16.0 - 1e-9), "{centres:?}");
        }
    }

    #[test]
    fn too_many_labels_share_the_length() {
        let centres = spread(&[5.0; 10], 16.0, 0.0, 100.0);
        assert!((centres[0] - 5.0).abs() < 1e-9, "{centres:?}");
        assert!((centres[9] - 95.0).abs() < 1e-9, "{centres:?}");
    }

    #[test]
    fn labels_beside_points_do_not_overlap_one_another() {
        let mut placer = Placer::new(FRAME, Vec::new());
        let mut rects = Vec::new();
        for i in 0..12 {
            let point = (150.0 + 8.0 * f64::from(i % 4), 140.0 + 6.0 * f64::from(i / 4));
            rects.push(placer.place(point, (60.0, 14.0)));
        }
        for (i, a) in rects.iter().enumerate() {
            assert!(FRAME.holds(*a), "{a:?} leaves the frame");
            assert!(rects[i + 1..].iter().all(|b| !a.overlaps(*b)), "{a:?} overlaps");
        }
    }

    #[test]
    fn a_label_keeps_off_a_curve_and_off_its_point() {
        let curve: Vec<Point> = (0..40).map(|i| (10.0 * f64::from(i), 300.0 - 7.0 * f64::from(i))).collect();
        let mut placer = Placer::new(FRAME, vec![curve.clone()]);
        let rect = placer.place((200.0, 160.0), (80.0, 14.0));
        assert!(!rect.has((200.0, 160.0)));
        assert!(curve.windows(2).all(|p| segment(p[0], p[1], rect).is_none()), "{rect:?}");
    }
}
