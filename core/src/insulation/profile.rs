//! The way over a surface with grooves and ribs, as built.
//!
//! IEC 60664-1, 6.2 gives examples: the creepage path follows the surface, except
//! that a groove narrower than X is bridged straight across its mouth, and the
//! bottom of a V-shaped groove by a link of length X. Both are one rule here: dirt
//! may bridge a gap between two walls that face each other wherever the gap is
//! narrower than X.

use crate::bounds::Bounded;
use crate::error::{Capacity, Error, Inconsistency};
use crate::quantity::Length;

/// Most points of one surface: seven rectangular grooves or ribs.
pub const MAX_SURFACE_POINTS: usize = 30;

/// Most bridges that are weighed against each other: one for each pair of a
/// falling and a rising stretch, at most half of the pieces each.
const MAX_BRIDGES: usize = 14 * 15;

/// Halvings of an interval in the search for the best bridge; the interval is
/// then below the resolution of `f32`.
const HALVINGS: usize = 40;

/// A gap counts as narrower than X when it is so by more than this share of X: at
/// most 0.25 um, far below what a workshop can measure, far above rounding.
const GAP_TOLERANCE: f32 = 1.0e-4;

/// A cut through an insulating surface between two conductive parts.
///
/// The points run from the edge of one part to the edge of the other, left to
/// right, the solid below and the air above. A vertical wall is two points above
/// each other. Joints, undercuts and loose barriers are outside this model: a
/// path through an uncemented joint counts as a surface and is to be entered as
/// such.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Profile {
    points: heapless::Vec<Point, MAX_SURFACE_POINTS>,
}

/// A point, or the way from one to another, in m.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
struct Point {
    x: f32,
    y: f32,
}

impl Point {
    fn to(self, other: Self) -> Self {
        Self {
            x: other.x - self.x,
            y: other.y - self.y,
        }
    }

    fn length(self) -> f32 {
        libm::sqrtf(self.x * self.x + self.y * self.y)
    }

    fn dot(self, other: Self) -> f32 {
        self.x * other.x + self.y * other.y
    }

    /// Positive where `other` points to the left of `self`.
    fn turn(self, other: Self) -> f32 {
        self.x * other.y - self.y * other.x
    }
}

/// A straight piece of the surface.
#[derive(Clone, Copy)]
struct Piece {
    from: Point,
    to: Point,
    along: Point,
    length: f32,
    /// Way over the surface from the first point to `from`.
    start: f32,
}

impl Piece {
    fn at(&self, share: f32) -> Point {
        Point {
            // Never past the end by rounding: a sheet may stand there.
            x: (self.from.x + self.along.x * share).min(self.to.x),
            y: self.from.y + self.along.y * share,
        }
    }

    fn way_to(&self, share: f32) -> f32 {
        self.start + self.length * share
    }

    /// Where on the piece the point nearest to `point` lies.
    fn nearest(&self, point: Point) -> f32 {
        let square = self.length * self.length;
        if square <= 0.0 {
            return 0.0;
        }
        (self.from.to(point).dot(self.along) / square).clamp(0.0, 1.0)
    }

    fn gap(&self, point: Point) -> f32 {
        self.at(self.nearest(point)).to(point).length()
    }
}

/// Dirt from one place of the way over the surface to a later one.
#[derive(Clone, Copy)]
struct Bridge {
    from: f32,
    to: f32,
    saves: f32,
}

impl Profile {
    /// A surface given by its points `(x, y)` in mm, `x` from left to right.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a coordinate that is not finite or beyond 10 m,
    /// [`Error::Inconsistent`] for fewer than two points or one that lies to the
    /// left of the one before, [`Error::Capacity`] for more than
    /// [`MAX_SURFACE_POINTS`].
    pub fn from_mm(points: &[(f32, f32)]) -> Result<Self, Error> {
        let mut kept: heapless::Vec<Point, MAX_SURFACE_POINTS> = heapless::Vec::new();
        for &(x, y) in points {
            let point = Point {
                x: Bounded::Coordinate.check(x * 1.0e-3)?,
                y: Bounded::Coordinate.check(y * 1.0e-3)?,
            };
            if kept.last().is_some_and(|last| point.x < last.x) {
                return Err(Error::Inconsistent(Inconsistency::SurfaceRunsBack));
            }
            kept.push(point)
                .map_err(|_| Error::Capacity(Capacity::SurfacePoints))?;
        }
        if kept.len() < 2 {
            return Err(Error::Inconsistent(Inconsistency::SurfaceRunsBack));
        }
        Ok(Self { points: kept })
    }

    /// The shortest way through air, over everything that stands up: a string
    /// pulled tight above the surface.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a way beyond the bounds of a length.
    pub fn air_path(&self) -> Result<Length, Error> {
        Length::from_metres(tight_string(self.points.iter().copied()))
    }

    /// The whole way over the surface, no groove bridged.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a way beyond the bounds of a length.
    pub fn surface_path(&self) -> Result<Length, Error> {
        Length::from_metres(self.pieces().last().map_or(0.0, |piece| piece.way_to(1.0)))
    }

    /// The creepage distance: the way over the surface with every gap bridged
    /// that is narrower than X.
    ///
    /// A bridge needs two walls that face each other at less than 90 degrees: a
    /// falling and a rising stretch. It may be slanted and it may end partway up
    /// a wall, so that the result is the shortest that the rule can mean. The
    /// right angle between a floor and a wall is followed, as in the standard's
    /// examples. A barrier that stands in a narrow gap still counts: the bridge
    /// goes over it.
    ///
    /// Never above [`Self::surface_path`]. Bounded: at most 210 pairs of
    /// stretches, 160 evaluations each.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a way beyond the bounds of a length.
    ///
    /// Source: IEC 60664-1:2007, 6.2; X from
    /// [`crate::standard::iec60664_creepage::groove_width`].
    pub fn creepage_path(&self, groove_width: Length) -> Result<Length, Error> {
        let pieces = self.pieces();
        let whole = pieces.last().map_or(0.0, |piece| piece.way_to(1.0));
        let mut bridges: heapless::Vec<Bridge, MAX_BRIDGES> = heapless::Vec::new();
        for (index, falling) in pieces.iter().enumerate() {
            for rising in pieces.iter().skip(index + 1) {
                if !facing(falling, rising) {
                    continue;
                }
                if let Some(bridge) = self.best_bridge(falling, rising, groove_width.as_metres()) {
                    bridges
                        .push(bridge)
                        .map_err(|_| Error::Capacity(Capacity::SurfacePoints))?;
                }
            }
        }
        // The straight way through air is the least that any path can be; it
        // guards against saving the same stretch twice by rounding.
        let saved = most_saved(&bridges);
        let least = tight_string(self.points.iter().copied());
        Length::from_metres((whole - saved).max(least).min(whole))
    }

    fn pieces(&self) -> heapless::Vec<Piece, MAX_SURFACE_POINTS> {
        let mut pieces: heapless::Vec<Piece, MAX_SURFACE_POINTS> = heapless::Vec::new();
        let mut start = 0.0;
        for pair in self.points.windows(2) {
            let &[from, to] = pair else { continue };
            let along = from.to(to);
            let length = along.length();
            // One piece fewer than points, so it always fits.
            let _ = pieces.push(Piece {
                from,
                to,
                along,
                length,
                start,
            });
            start += length;
        }
        pieces
    }

    /// The bridge between two pieces that saves most.
    ///
    /// The saving is (t - s) - over(s, t), `over` being the string pulled tight from
    /// P(s) to Q(t) over what stands between. The string is no longer than the mean
    /// of two strings at the mean of their ends, so the saving is concave in both
    /// places; it never falls with t and never rises with s. So for each s the best
    /// t is the farthest one within X, and the best s is found by narrowing an
    /// interval. The straight line in place of the string would settle on the wrong
    /// place where a barrier stands in the gap.
    fn best_bridge(&self, falling: &Piece, rising: &Piece, x: f32) -> Option<Bridge> {
        let narrower = x * (1.0 - GAP_TOLERANCE);
        // The gap over s is convex: find its smallest place.
        let nearest = narrow(0.0, 1.0, |s| -rising.gap(falling.at(s)));
        if rising.gap(falling.at(nearest)) >= narrower {
            return None;
        }
        let reaches = |s: f32| rising.gap(falling.at(s)) < narrower;
        let first = boundary(0.0, nearest, &reaches);
        let last = boundary(1.0, nearest, &reaches);
        let bridge = |s: f32| {
            let point = falling.at(s);
            let within = |t: f32| rising.at(t).to(point).length() < narrower;
            let t = boundary(1.0, rising.nearest(point), &within);
            let over = tight_string(
                core::iter::once(point)
                    .chain(self.between(falling, rising))
                    .chain(core::iter::once(rising.at(t))),
            );
            let (from, to) = (falling.way_to(s), rising.way_to(t));
            Bridge {
                from,
                to,
                saves: to - from - over,
            }
        };
        // The ends of the interval are the usual answer and are met exactly.
        let (end, inner) = (
            bridge(first),
            bridge(narrow(first, last, |s| bridge(s).saves)),
        );
        let best = if end.saves >= inner.saves { end } else { inner };
        (best.saves > 0.0).then_some(best)
    }

    /// The points after the start of one piece, up to the start of another.
    fn between(&self, falling: &Piece, rising: &Piece) -> impl Iterator<Item = Point> {
        let (after, until) = (falling.start, rising.start);
        let mut way = 0.0;
        let mut last = self.points.first().copied();
        self.points.iter().copied().filter(move |point| {
            if let Some(last) = last {
                way += last.to(*point).length();
            }
            last = Some(*point);
            way > after && way <= until
        })
    }
}

/// True where two pieces face each other across air at less than 90 degrees.
fn facing(falling: &Piece, rising: &Piece) -> bool {
    falling.along.y < 0.0 && rising.along.y > 0.0 && {
        // Away from the bottom on both sides: up the falling one, up the rising one.
        let up = Point {
            x: -falling.along.x,
            y: -falling.along.y,
        };
        up.dot(rising.along) > 1.0e-4 * falling.length * rising.length
    }
}

/// Length of a string pulled tight over points that run from left to right.
fn tight_string(points: impl Iterator<Item = Point>) -> f32 {
    let mut hull: heapless::Vec<Point, { MAX_SURFACE_POINTS + 2 }> = heapless::Vec::new();
    for point in points {
        // At most as many rounds as there are points.
        while let [.., before, last] = hull.as_slice() {
            let (first, then) = (before.to(*last), last.to(point));
            let turn = first.turn(then);
            // Straight up and straight down again, over a sheet without thickness,
            // is no turn to the right by the sign, but the string hangs on its top.
            if turn < 0.0 || (turn <= 0.0 && first.y > 0.0 && then.y < 0.0) {
                break;
            }
            hull.pop();
        }
        let _ = hull.push(point);
    }
    hull.windows(2)
        .map(|pair| {
            if let &[a, b] = pair {
                a.to(b).length()
            } else {
                0.0
            }
        })
        .sum()
}

/// The place between `low` and `high` where a concave function is largest, by
/// [`HALVINGS`] ternary steps.
fn narrow(mut low: f32, mut high: f32, value: impl Fn(f32) -> f32) -> f32 {
    for _ in 0..HALVINGS {
        let third = (high - low) / 3.0;
        let (a, b) = (low + third, high - third);
        if value(a) >= value(b) {
            high = b;
        } else {
            low = a;
        }
    }
    low
}

/// The place nearest to `end` where `holds` is true, given that it holds at
/// `inside` and changes once between them, by [`HALVINGS`] bisections.
fn boundary(end: f32, inside: f32, holds: &impl Fn(f32) -> bool) -> f32 {
    if holds(end) {
        return end;
    }
    let (mut out, mut keep) = (end, inside);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (out + keep);
        if holds(middle) {
            keep = middle;
        } else {
            out = middle;
        }
    }
    keep
}

/// The largest saving of bridges that do not overlap.
///
/// Bounded: repeats at most once for each end of a stretch, as no chosen chain of
/// bridges is longer than the surface has stretches.
fn most_saved(bridges: &[Bridge]) -> f32 {
    let mut best: heapless::Vec<f32, MAX_BRIDGES> = heapless::Vec::new();
    for bridge in bridges {
        let _ = best.push(bridge.saves);
    }
    for _ in 0..MAX_SURFACE_POINTS {
        let mut changed = false;
        for (index, bridge) in bridges.iter().enumerate() {
            let before = bridges
                .iter()
                .zip(best.iter())
                .filter(|(other, _)| other.to <= bridge.from)
                .fold(0.0_f32, |most, (_, saved)| most.max(*saved));
            if let Some(slot) = best.get_mut(index)
                && before + bridge.saves > *slot
            {
                *slot = before + bridge.saves;
                changed = true;
            }
        }
        if !changed {
            break;
        }
    }
    best.iter().fold(0.0_f32, |most, saved| most.max(*saved))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn creepage(points: &[(f32, f32)], x_mm: f32) -> f32 {
        let profile = Profile::from_mm(points).unwrap();
        let x = Length::from_mm(x_mm).unwrap();
        profile.creepage_path(x).unwrap().as_mm()
    }

    fn groove(width: f32, depth: f32) -> [(f32, f32); 6] {
        let right = 5.0 + width;
        [
            (0.0, 0.0),
            (5.0, 0.0),
            (5.0, -depth),
            (right, -depth),
            (right, 0.0),
            (right + 5.0, 0.0),
        ]
    }

    // Tolerance of all: 1e-3 mm, ten times the gap tolerance at X = 1 mm.
    fn near(a: f32, b: f32) -> bool {
        (a - b).abs() < 1e-3
    }

    #[test]
    fn a_groove_as_wide_as_x_is_followed_and_a_narrower_one_is_bridged() {
        assert!(near(creepage(&groove(1.0, 3.0), 1.0), 17.0));
        assert!(near(creepage(&groove(0.9, 3.0), 1.0), 10.9));
    }

    #[test]
    fn the_bottom_of_a_v_is_bridged_by_x() {
        // 3 mm wide, 4 mm deep: 2 atan(1.5/4) = 41 degrees. The gap is 1 mm a third
        // of the way up, so 2/3 of each wall is left.
        let v = [(0.0, 0.0), (5.0, 0.0), (6.5, -4.0), (8.0, 0.0), (13.0, 0.0)];
        let wall = (1.5_f32 * 1.5 + 16.0).sqrt();
        let expected = 10.0 + 2.0 * wall * 2.0 / 3.0 + 1.0;
        let found = creepage(&v, 1.0);
        assert!((found - expected).abs() < 2e-3, "{found} {expected}");
    }

    #[test]
    fn a_wall_without_thickness_that_starts_below_an_end_is_gone_over() {
        let points = [(0.0, 0.0), (0.0, 3.0), (0.0, 0.0), (4.0, 0.0)];
        let air = Profile::from_mm(&points).unwrap().air_path().unwrap();
        assert!(near(air.as_mm(), 3.0 + 5.0), "{}", air.as_mm());
    }

    // Found by chance: the bridge from the left corner went through the wall.
    #[test]
    fn no_bridge_goes_through_a_wall_between_bottoms_of_unequal_depth() {
        let points = [
            (0.0, 0.0),
            (3.0, 0.0),
            (3.0, 1.8),
            (5.7, -1.75),
            (5.7, 0.0),
            (5.7, -2.6),
            (8.2, -0.2),
        ];
        let (narrow, wide) = (creepage(&points, 0.6), creepage(&points, 0.7));
        assert!(wide < narrow, "{narrow} {wide}");
        // Over the wall it is at least the straight way to its top and on.
        assert!(narrow > 14.0, "{narrow}");
    }

    #[test]
    fn a_rib_is_followed_over_its_top() {
        let rib = [
            (0.0, 0.0),
            (5.0, 0.0),
            (5.0, 4.0),
            (6.0, 4.0),
            (6.0, 0.0),
            (11.0, 0.0),
        ];
        assert!(near(creepage(&rib, 1.5), 19.0));
        let air = Profile::from_mm(&rib).unwrap().air_path().unwrap().as_mm();
        assert!(near(air, 2.0 * 41.0_f32.sqrt() + 1.0));
    }

    #[test]
    fn two_ribs_close_together_count_as_one() {
        let ribs = [
            (0.0, 0.0),
            (5.0, 0.0),
            (5.0, 4.0),
            (6.0, 4.0),
            (6.0, 0.0),
            (6.8, 0.0),
            (6.8, 4.0),
            (7.8, 4.0),
            (7.8, 0.0),
            (12.8, 0.0),
        ];
        assert!(near(creepage(&ribs, 1.0), 5.0 + 4.0 + 2.8 + 4.0 + 5.0));
        assert!(near(
            creepage(&ribs, 0.5),
            5.0 + 4.0 + 1.0 + 8.8 + 1.0 + 4.0 + 5.0
        ));
    }

    #[test]
    fn a_barrier_in_a_narrow_slot_still_counts() {
        let slot = [
            (0.0, 0.0),
            (5.0, 0.0),
            (5.0, -2.0),
            (5.4, -2.0),
            (5.4, 10.0),
            (5.6, 10.0),
            (5.6, -2.0),
            (6.0, -2.0),
            (6.0, 0.0),
            (11.0, 0.0),
        ];
        let found = creepage(&slot, 1.5);
        // Up and down the barrier remains, the slots on both sides do not; slanted
        // bridges may take at most X off each side.
        assert!(found > 10.0 + 2.0 * (10.0 - 1.5), "{found}");
        assert!(found < 10.0 + 20.0 + 1.0, "{found}");
    }

    #[test]
    fn two_grooves_beside_each_other_are_both_bridged() {
        let two = [
            (0.0, 0.0),
            (2.0, 0.0),
            (2.0, -3.0),
            (2.5, -3.0),
            (2.5, 0.0),
            (4.0, 0.0),
            (4.0, -3.0),
            (4.5, -3.0),
            (4.5, 0.0),
            (6.0, 0.0),
        ];
        assert!(near(creepage(&two, 1.0), 6.0));
    }

    /// Found at random. A sheet without thickness stands in a sloping slot; its top
    /// was lost on the way straight up and straight down again, and the path came
    /// out as 12.336 mm with the smaller X, 14.110 mm with the larger one.
    #[test]
    fn a_sheet_without_thickness_is_followed_over_its_top() {
        let sheet = [
            (0.262_319_18, 0.0),
            (3.106_164_7, 0.0),
            (3.106_164_7, 1.778_327_1),
            (5.734_676_4, -1.750_256_4),
            (5.734_676_4, 0.0),
            (5.734_676_4, -2.584_185_4),
            (8.168_301, -0.193_744_84),
        ];
        let (narrow, wide) = (
            creepage(&sheet, 0.606_894_3),
            creepage(&sheet, 0.606_894_3 * 1.163_837_8),
        );
        // By trying every bridge on a grid of 400 by 400, once, with a script; the
        // grid misses the best one by less than 5e-3 mm.
        assert!((narrow - 14.487).abs() < 5e-3, "{narrow}");
        assert!((wide - 14.113).abs() < 5e-3, "{wide}");
        let standing = [(0.0, 0.0), (5.0, 0.0), (5.0, 3.0), (5.0, 0.0), (9.0, 0.0)];
        let air = Profile::from_mm(&standing)
            .unwrap()
            .air_path()
            .unwrap()
            .as_mm();
        assert!(near(air, 34.0_f32.sqrt() + 5.0));
    }

    #[test]
    fn points_that_run_back_or_are_not_numbers_are_refused() {
        assert!(Profile::from_mm(&[(0.0, 0.0)]).is_err());
        assert!(Profile::from_mm(&[(1.0, 0.0), (0.0, 0.0)]).is_err());
        assert!(Profile::from_mm(&[(0.0, 0.0), (f32::NAN, 0.0)]).is_err());
        let many: std::vec::Vec<(f32, f32)> = (0..31_u8).map(|i| (f32::from(i), 0.0)).collect();
        assert_eq!(
            Profile::from_mm(&many),
            Err(Error::Capacity(Capacity::SurfacePoints))
        );
        assert!(Profile::from_mm(&many[..30]).is_ok());
    }

    fn surfaces() -> impl Strategy<Value = std::vec::Vec<(f32, f32)>> {
        proptest::collection::vec((0.0..3.0_f32, -5.0..5.0_f32, any::<bool>()), 2..30).prop_map(
            |steps| {
                let mut x = 0.0;
                steps
                    .into_iter()
                    .map(|(dx, y, wall)| {
                        if !wall {
                            x += dx;
                        }
                        (x, y)
                    })
                    .collect()
            },
        )
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(128))]

        #[test]
        fn the_path_lies_between_the_air_and_the_whole_surface(points in surfaces(), x in 0.0..3.0_f32) {
            let profile = Profile::from_mm(&points).unwrap();
            let path = profile.creepage_path(Length::from_mm(x).unwrap()).unwrap();
            // Rounding of a sum of at most 30 pieces: 1e-5.
            prop_assert!(path.as_mm() <= profile.surface_path().unwrap().as_mm() * (1.0 + 1e-5));
            prop_assert!(path.as_mm() >= profile.air_path().unwrap().as_mm() * (1.0 - 1e-5));
        }

        #[test]
        fn a_larger_x_never_lengthens_the_path(points in surfaces(), x in 0.01..2.0_f32, more in 1.0..1.5_f32) {
            let profile = Profile::from_mm(&points).unwrap();
            let narrow = profile.creepage_path(Length::from_mm(x).unwrap()).unwrap().as_mm();
            let wide = profile.creepage_path(Length::from_mm(x * more).unwrap()).unwrap().as_mm();
            prop_assert!(wide <= narrow * (1.0 + 1e-3), "{narrow} {wide}");
        }

        #[test]
        fn no_bridge_on_a_grid_saves_more_than_the_one_found(points in surfaces(), x in 0.1..3.0_f32) {
            let profile = Profile::from_mm(&points).unwrap();
            let x = x * 1.0e-3;
            let pieces = profile.pieces();
            for (index, falling) in pieces.iter().enumerate() {
                for rising in pieces.iter().skip(index + 1).filter(|rising| facing(falling, rising)) {
                    let saved = profile.best_bridge(falling, rising, x).map_or(0.0, |bridge| bridge.saves);
                    for (s, t) in (0..121_u8).map(|cell| (f32::from(cell / 11) / 10.0, f32::from(cell % 11) / 10.0)) {
                        let (from, to) = (falling.at(s), rising.at(t));
                        // A hundredth below X, to stay clear of the tolerance on gaps.
                        if from.to(to).length() >= 0.99 * x {
                            continue;
                        }
                        let over = tight_string(
                            core::iter::once(from)
                                .chain(profile.between(falling, rising))
                                .chain(core::iter::once(to)),
                        );
                        let saves = rising.way_to(t) - falling.way_to(s) - over;
                        // Rounding of ways of up to 0.2 m: 1e-6 m.
                        prop_assert!(saves <= saved + 1e-6, "{saved} {saves} at {s} {t}");
                    }
                }
            }
        }
    }
}
