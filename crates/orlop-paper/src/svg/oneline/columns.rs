//! Where texts stand on a sheet, and how high rows become.

use super::blocks::{Block, PITCH, Row, feed};
use crate::svg::canvas::{POINT, Type};
use crate::svg::{PAGE_WIDTH, wrap};
use crate::view::{Branch, Device, End, Tree};

/// Type of rows.
pub(super) const TEXT: Type = Type::plain(8.0);
/// Type of the name of a bus.
pub(super) const NAME: Type = Type::plain(9.0).bold();
/// Distance of lines in a row of several.
pub(super) const LINE: f64 = 3.5;

/// Left edges and widths of the columns, in millimetres.
pub(super) struct Columns {
    pub(super) wire: f64,
    pub(super) wire_room: f64,
    pub(super) rating_room: f64,
    pub(super) name: f64,
    pub(super) name_room: f64,
    /// Right edge of currents.
    pub(super) current: f64,
    pub(super) current_room: f64,
}

/// Where the bus of a depth stands.
pub(super) fn bus_x(depth: usize) -> f64 {
    6.0 + 12.0 * depth as f64
}

/// Where the rating of a device begins, from its bus.
pub(super) const RATING: f64 = 9.4;

/// The text of a device.
pub(super) fn rating(device: &Device) -> &str {
    match device {
        Device::Fuse(r) | Device::Breaker(r) => r,
        Device::Missing => "no device",
        Device::None => "",
    }
}

/// A sheet number as wide as any, for measuring.
pub(super) const ANY_SHEET: usize = 888;

/// What stands at the end of a circuit, led by its id.
fn end_name(tree: &Tree, branch: &Branch, sheet: usize) -> String {
    let (name, tail) = match &branch.end {
        End::Load { name, .. } | End::Source { name, .. } => (name, String::new()),
        End::Node(n) | End::Again(n) => (&tree.nodes[*n].name, format!(" →\u{a0}sheet\u{a0}{sheet}")),
    };
    let id = if name.eq_ignore_ascii_case(&branch.id) { String::new() } else { format!("{} ", branch.id) };
    format!("{id}{name}{tail}")
}

impl Columns {
    pub(super) fn of(tree: &Tree, blocks: &[Block]) -> Self {
        let branches = || tree.nodes.iter().flat_map(|n| &n.branches);
        let widest = |most: f64, widths: &mut dyn Iterator<Item = f64>| widths.fold(0.0, f64::max).min(most);
        let rating_room = widest(22.0, &mut branches().map(|b| TEXT.width(rating(&b.device))));
        let wire_room = widest(46.0, &mut branches().map(|b| TEXT.width(&b.wire)));
        let current_room = widest(18.0, &mut branches().map(|b| TEXT.width(&b.current)));
        let deepest = blocks.iter().flat_map(|b| &b.rows).map(Row::depth).max().unwrap_or(0);
        let wire = bus_x(deepest) + RATING + rating_room + 3.0;
        let name = wire + wire_room + 8.0;
        let current = PAGE_WIDTH - 6.0;
        let name_room = current - current_room - 2.0 - name;
        Self { wire, wire_room, rating_room, name, name_room, current, current_room }
    }

    /// The name at the end of a circuit, in lines.
    pub(super) fn names(&self, tree: &Tree, branch: &Branch, sheet: usize) -> Vec<String> {
        wrap(&end_name(tree, branch, sheet), self.name_room, TEXT.points * POINT, false, 4)
    }

    /// The name and figures at the head of a bus, in lines.
    pub(super) fn head(&self, tree: &Tree, row: &Row, sheet: usize) -> (Vec<String>, Vec<String>) {
        let (node, depth) = (&tree.nodes[row.owner()], row.depth());
        let continued = matches!(row, Row::Head { continued: true, .. });
        let room = self.current - self.current_room - 2.0 - (bus_x(depth) + 8.0);
        let name = if continued { format!("{} (continued)", node.name) } else { node.name.clone() };
        let mut parts = Vec::new();
        if node.always_on {
            parts.push("stays live with the master off".to_string());
        }
        if !node.detail.is_empty() {
            parts.push(node.detail.clone());
        }
        if let Some(feed) = feed(tree, row.owner()).filter(|_| !continued) {
            let device = match &feed.device {
                Device::Fuse(r) => format!("{r} fuse"),
                Device::Breaker(r) => format!("{r} breaker"),
                Device::Missing => "no device".into(),
                Device::None => String::new(),
            };
            let figures: Vec<_> = [device, feed.wire.clone()].into_iter().filter(|s| !s.is_empty()).collect();
            let from = if depth == 0 {
                node.parent
                    .map(|p| format!("from {} (sheet\u{a0}{sheet}) by {}: ", tree.nodes[p].name, feed.id))
            } else {
                Some(format!("fed by {}: ", feed.id))
            };
            parts.push(from.unwrap_or_default() + &figures.join(", "));
        }
        (
            wrap(&name, room, NAME.points * POINT, true, 2),
            wrap(&parts.join(" · "), room, TEXT.points * POINT, false, 3),
        )
    }

    /// Height of a row.
    pub(super) fn height(&self, tree: &Tree, row: &Row) -> f64 {
        match row {
            Row::Branch { node, branch, .. } => {
                let lines = self.names(tree, &tree.nodes[*node].branches[*branch], ANY_SHEET).len().max(1);
                PITCH + (lines - 1) as f64 * LINE
            }
            Row::Head { .. } => {
                let (names, details) = self.head(tree, row, ANY_SHEET);
                4.2 + (names.len() as f64) * 3.9 + (details.len() as f64) * LINE
            }
        }
    }
}
