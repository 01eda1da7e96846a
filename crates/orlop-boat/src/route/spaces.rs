//! Which space a piece of trunk is in: the hottest of those that it passes through.

use super::Segment;
use super::geometry::{between, clip, distance, outside};
use crate::model::{Boat, Point, Space, Trunk};
use orlop::Error;
use orlop::conductor::SpaceKind;
use orlop_units::{metres, total_cmp};
use std::cmp::Ordering;

/// Points this near to a box count as inside, m.
const TOUCH: f64 = 1e-6;

/// A longer part outside all spaces is worth a remark, m.
const NOTABLE: f64 = 1e-3;

/// Orders spaces by what they ask of a conductor: ambient, then engine space, then the id that comes first.
pub(super) fn hotter(a: &Space, b: &Space) -> Ordering {
    let engine = |s: &Space| s.kind == SpaceKind::Engine;
    total_cmp(a.ambient, b.ambient).then(engine(a).cmp(&engine(b))).then_with(|| b.id.cmp(&a.id))
}

/// The straight piece from one point of a trunk to another; `corner` is the number of the trunk's corner before it.
///
/// # Errors
/// The piece, or the corner at one of its ends, is in no space.
pub(super) fn segment(
    boat: &Boat,
    trunk: &Trunk,
    corner: usize,
    from: Point,
    to: Point,
) -> Result<Segment, Error> {
    let length = distance(from, to);
    let mut passed: Vec<&Space> = Vec::new();
    let mut bare = 0.0;
    if let Some(own) = &trunk.space {
        let unknown = || {
            let field = format!("trunk.{}.space", trunk.id);
            Error::input(&field, format!("'{own}'"), "the id of a space")
        };
        passed.push(boat.space(own).ok_or_else(unknown)?);
    } else {
        for number in [corner, corner + 1] {
            let at = trunk.points[number];
            if !boat.spaces.iter().any(|s| holds(s, at)) {
                return Err(in_no_space(boat, trunk, &format!("corner {}", number + 1), at));
            }
        }
        let mut parts: Vec<(f64, f64)> = Vec::new();
        for space in &boat.spaces {
            let inside: Vec<_> = space.boxes.iter().filter_map(|b| clip(from, to, b)).collect();
            if inside.iter().any(|(enter, leave)| (leave - enter) * length > TOUCH) {
                passed.push(space);
            }
            parts.extend(inside);
        }
        bare = uncovered(parts) * length;
        if passed.is_empty() {
            let middle = between(from, to, 0.5);
            passed.extend(boat.spaces.iter().filter(|s| holds(s, middle)));
        }
        if passed.is_empty() {
            let what = format!("the piece between corners {} and {}", corner + 1, corner + 2);
            return Err(in_no_space(boat, trunk, &what, between(from, to, 0.5)));
        }
    }
    let engine = passed.iter().any(|s| s.kind == SpaceKind::Engine);
    let hottest = passed.iter().max_by(|a, b| hotter(a, b)).expect("one at least");
    Ok(Segment {
        trunk: trunk.id.clone(),
        corner: corner + 1,
        from,
        to,
        length: metres(length),
        space: hottest.id.clone(),
        kind: if engine { SpaceKind::Engine } else { SpaceKind::Outside },
        ambient: hottest.ambient,
        in_no_space: (bare > NOTABLE).then(|| metres(bare)),
    })
}

fn holds(space: &Space, p: Point) -> bool {
    space.boxes.iter().any(|b| outside(p, b) <= TOUCH)
}

/// The share of a line that no part covers.
fn uncovered(mut parts: Vec<(f64, f64)>) -> f64 {
    parts.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut bare, mut reached) = (0.0, 0.0_f64);
    for (enter, leave) in parts {
        bare += (enter - reached).max(0.0);
        reached = reached.max(leave);
    }
    bare + (1.0 - reached).max(0.0)
}

fn in_no_space(boat: &Boat, trunk: &Trunk, what: &str, at: Point) -> Error {
    let gap = |s: &Space| s.boxes.iter().map(|b| outside(at, b)).min_by(f64::total_cmp);
    let nearest = boat
        .spaces
        .iter()
        .filter_map(|s| Some((gap(s)?, s)))
        .min_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.id.cmp(&b.1.id)));
    let name = "or name a space for the whole trunk: space = \"...\"";
    let hint = match nearest {
        Some((gap, s)) => {
            format!("the nearest space is '{}', {gap:.2} m away: enlarge its boxes, {name}", s.id)
        }
        None => format!("give a space its boxes, {name}"),
    };
    Error::Input {
        field: format!("trunk.{}.path", trunk.id),
        got: format!("{what} at {}, {}, {} m, in no space", at.x, at.y, at.z),
        expected: "corners inside the boxes of the spaces".into(),
        hint,
    }
}

#[cfg(test)]
mod tests {
    use super::uncovered;

    #[test]
    fn what_no_box_covers_adds_up() {
        assert_eq!(uncovered(vec![]), 1.0);
        assert_eq!(uncovered(vec![(0.5, 1.0), (0.0, 0.25)]), 0.25);
        assert_eq!(uncovered(vec![(0.0, 0.75), (0.25, 0.5)]), 0.25);
        assert_eq!(uncovered(vec![(0.0, 1.0), (0.25, 0.5)]), 0.0);
    }
}
