//! The boat from above and from starboard: spaces, cable ways, places.

use super::canvas::{Anchor, Type, ink};
use super::{Canvas, PAGE_WIDTH};
use crate::view::Plan;

const PLACE: Type = Type::plain(7.0);
const SPACE: Type = Type::plain(7.0).fill(ink::SOFT);
/// Radius of the disc with a trunk's number.
const DISC: f64 = 2.2;

/// Draws both views; nothing when no point of the boat is known.
#[must_use]
pub fn plan(plan: &Plan) -> Option<Canvas> {
    let points: Vec<[f64; 3]> = plan
        .trunks
        .iter()
        .flat_map(|t| t.1.iter().copied())
        .chain(plan.places.iter().map(|p| p.1))
        .chain(plan.spaces.iter().flat_map(|s| [s.1, s.2]))
        .filter(|p| p.iter().all(|v| v.is_finite()))
        .collect();
    let reach = |axis: usize| {
        let all = points.iter().map(|p| p[axis]);
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), v| (lo.min(v), hi.max(v)))
    };
    let (x, y, z) = (reach(0), reach(1), reach(2));
    let long = x.1 - x.0;
    if points.is_empty() || long <= 0.0 {
        return None;
    }
    // One scale for both views, so that lengths compare; at most a page high.
    let high = (y.1 - y.0) + (z.1 - z.0);
    let scale = ((PAGE_WIDTH - 12.0) / long).min(190.0 / high.max(0.1));
    let (top, gap) = (10.0, 14.0);
    let above = (y.1 - y.0) * scale;
    let side = (z.1 - z.0) * scale;
    let mut c = Canvas::new(PAGE_WIDTH, top + above + gap + side + 8.0);
    let left = (PAGE_WIDTH - long * scale) / 2.0;
    let across = move |v: f64| left + (v - x.0) * scale;
    let head = Type::plain(8.0).bold();
    c.text(0.0, 4.0, head, "From above (port at the top, bow to the right)");
    view(&mut c, plan, &|p| (across(p[0]), top + (p[1] - y.0) * scale));
    let base = top + above + gap;
    c.text(0.0, base - 5.0, head, "From starboard (bow to the right)");
    let water = base + z.1 * scale;
    if z.0 < 0.0 && z.1 > 0.0 {
        c.line((0.0, water), (PAGE_WIDTH, water), 0.2, ink::FINE);
    }
    view(&mut c, plan, &|p| (across(p[0]), base + (z.1 - p[2]) * scale));
    Some(c)
}

type At<'a> = &'a dyn Fn(&[f64; 3]) -> (f64, f64);

fn view(c: &mut Canvas, plan: &Plan, at: At<'_>) {
    for (_, low, high) in &plan.spaces {
        let ((x0, y0), (x1, y1)) = (at(low), at(high));
        c.rect([x0.min(x1), y0.min(y1), (x1 - x0).abs(), (y1 - y0).abs()], ink::WATER, ink::FINE, 0.2);
    }
    for (_, points) in &plan.trunks {
        let line: Vec<_> = points.iter().map(at).collect();
        c.path(&line, false, "none", ink::DARK, 0.6);
    }
    for (_, point) in &plan.places {
        let (x, y) = at(point);
        c.rect([x - 0.9, y - 0.9, 1.8, 1.8], "#ffffff", ink::DARK, 0.35);
    }
    let mut taken: Vec<[f64; 4]> = plan.places.iter().map(|(_, p)| around(at(p), 0.9, 0.9)).collect();
    let lines: Vec<Vec<(f64, f64)>> = plan.trunks.iter().map(|t| t.1.iter().map(at).collect()).collect();
    let beads: Vec<Vec<[f64; 4]>> = lines.iter().map(|line| beads(line)).collect();
    for (this, (number, _)) in plan.trunks.iter().enumerate() {
        // Where the trunk runs alone, if anywhere.
        let others: Vec<[f64; 4]> =
            (0..beads.len()).filter(|i| *i != this).flat_map(|i| beads[i].iter().copied()).collect();
        let spots = along(&lines[this]);
        let good = |p: &&(f64, f64)| free(c, &taken, around(**p, DISC, DISC));
        let alone = |p: &&(f64, f64)| free(c, &others, around(**p, DISC + 0.5, DISC + 0.5));
        let spot = spots.iter().find(|p| good(p) && alone(p)).or_else(|| spots.iter().find(good));
        let Some(&(x, y)) = spot else { continue };
        taken.push(around((x, y), DISC, DISC));
        c.circle(x, y, DISC, "#ffffff", ink::DARK, 0.3);
        c.text(x, y + 0.9, Type::plain(7.0).bold().anchor(Anchor::Middle), &number.to_string());
    }
    let clear: Vec<[f64; 4]> = taken.iter().copied().chain(beads.into_iter().flatten()).collect();
    for (id, point) in &plan.places {
        let _ = label(c, &clear, at(point), id) || label(c, &taken, at(point), id);
    }
    let mut named: Vec<&str> = Vec::new();
    for (name, low, high) in &plan.spaces {
        if named.contains(&name.as_str()) {
            continue;
        }
        let ((x0, y0), (x1, y1)) = (at(low), at(high));
        let (left, room) = (x0.min(x1) + 0.8, (x1 - x0).abs() - 1.6);
        let w = SPACE.width(name);
        let rows = [y0.min(y1) + 2.8, y0.max(y1) - 1.0, (y0 + y1) / 2.0 + 0.9];
        let spot =
            rows.into_iter().find(|&y| w <= room && free(c, &clear, [left, y - 2.0, left + w, y + 0.6]));
        if let Some(y) = spot {
            c.text(left, y, SPACE, name);
            named.push(name);
        }
    }
}

/// A line as small boxes in a row, a millimetre apart.
fn beads(line: &[(f64, f64)]) -> Vec<[f64; 4]> {
    let mut out = Vec::new();
    for w in line.windows(2) {
        let (dx, dy) = (w[1].0 - w[0].0, w[1].1 - w[0].1);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let steps = dx.hypot(dy).ceil().clamp(1.0, 1000.0) as u32;
        for i in 0..=steps {
            let share = f64::from(i) / f64::from(steps);
            out.push(around((w[0].0 + dx * share, w[0].1 + dy * share), 0.4, 0.4));
        }
    }
    out
}

fn around((x, y): (f64, f64), w: f64, h: f64) -> [f64; 4] {
    [x - w, y - h, x + w, y + h]
}

fn meet(a: [f64; 4], b: [f64; 4]) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

/// Whether a box is on the sheet and touches neither a text nor anything else that is taken.
fn free(c: &Canvas, taken: &[[f64; 4]], spot: [f64; 4]) -> bool {
    spot[0] >= 0.0
        && spot[1] >= 0.0
        && spot[2] <= c.width
        && spot[3] <= c.height
        && !taken.iter().any(|t| meet(*t, spot))
        && !c.texts.iter().any(|t| meet([t.x, t.y, t.x + t.w, t.y + t.h], spot))
}

/// Points along a line to try for its number: middles of its pieces, the longest first, then others.
fn along(line: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut pieces: Vec<_> = line.windows(2).map(|w| (w[0], w[1])).collect();
    let long = |(a, b): &((f64, f64), (f64, f64))| (a.0 - b.0).hypot(a.1 - b.1);
    pieces.sort_by(|a, b| long(b).total_cmp(&long(a)));
    let mut out = Vec::new();
    for share in [0.5, 0.3, 0.7, 0.15, 0.85, 0.4, 0.6, 0.95, 0.05] {
        out.extend(pieces.iter().map(|(a, b)| (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share)));
    }
    out
}

/// Writes the id of a place beside it, where there is room; whether there was.
fn label(c: &mut Canvas, taken: &[[f64; 4]], (x, y): (f64, f64), id: &str) -> bool {
    let w = PLACE.width(id);
    let spots = [
        (x + 1.6, y + 0.9),
        (x - 1.6 - w, y + 0.9),
        (x - w / 2.0, y - 1.6),
        (x - w / 2.0, y + 3.4),
        (x + 1.2, y - 1.4),
        (x + 1.2, y + 3.2),
        (x - 1.2 - w, y - 1.4),
        (x - 1.2 - w, y + 3.2),
    ];
    let spot = spots.into_iter().find(|&(x, y)| free(c, taken, [x, y - 2.0, x + w, y + 0.6]));
    let Some((x, y)) = spot else { return false };
    c.text(x, y, PLACE, id);
    true
}
