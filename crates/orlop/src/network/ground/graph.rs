//! The ground graph itself: points, paths, and what may be said of them at the door.

use super::kinds::{Carries, PathKind, ReturnSystem, Role};
use crate::error::{Error, positive};
use crate::range::Range;
use orlop_units::{Current, Resistance};
use std::collections::BTreeMap;

/// A named point: a terminal, a bus, a piece of metal.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Point {
    /// Its id.
    pub id: String,
    /// Its name for people; the id when it has none.
    pub name: String,
    /// What it is.
    pub role: Role,
    /// Whether it must hang on the one system.
    pub hangs: bool,
}

impl Point {
    /// A point that hangs on the system when its role asks for it.
    #[must_use]
    pub fn new(id: impl Into<String>, role: Role) -> Self {
        let id = id.into();
        Self { name: id.clone(), id, role, hangs: role.hangs() }
    }
    /// Its name for people.
    #[must_use]
    pub fn name(mut self, name: impl Into<String>) -> Self {
        self.name = name.into();
        self
    }
    /// Whether it must hang on the one system.
    #[must_use]
    pub fn hangs(mut self, hangs: bool) -> Self {
        self.hangs = hangs;
        self
    }
}

/// A connection between two points.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// Its id.
    pub id: String,
    /// Its name for people; the id when it has none.
    pub name: String,
    /// One end.
    pub from: String,
    /// The other end.
    pub to: String,
    /// What it is.
    pub kind: PathKind,
    /// Its resistance from end to end, joints included; shares need both ends.
    pub resistance: Range<Resistance>,
    /// Which current it may carry.
    pub carries: Carries,
    /// Whether it may be taken out.
    pub may_cut: bool,
    /// How much work it is to take it out; usually 1.
    pub effort: f64,
    /// Continuous current its conductor bears, when its size is known.
    pub ampacity: Option<Current>,
    /// Points whose current need not pass this shunt.
    pub bypass: Vec<String>,
}

impl Path {
    /// A path with the usual permissions of its kind, an effort of 1, and a resistance that is not known.
    #[must_use]
    pub fn new(
        id: impl Into<String>,
        from: impl Into<String>,
        to: impl Into<String>,
        kind: PathKind,
    ) -> Self {
        let id = id.into();
        Self {
            name: id.clone(),
            id,
            from: from.into(),
            to: to.into(),
            kind,
            resistance: Range::from_bounds(None, None),
            carries: kind.carries(),
            may_cut: kind.may_cut(),
            effort: 1.0,
            ampacity: None,
            bypass: Vec::new(),
        }
    }
    /// Its name for people.
    #[must_use]
    pub fn name(mut self, name: impl Into<String>) -> Self {
        self.name = name.into();
        self
    }
    /// Its resistance.
    #[must_use]
    pub fn resistance(mut self, resistance: Range<Resistance>) -> Self {
        self.resistance = resistance;
        self
    }
    /// Which current it may carry.
    #[must_use]
    pub fn carries(mut self, carries: Carries) -> Self {
        self.carries = carries;
        self
    }
    /// Whether it may be taken out.
    #[must_use]
    pub fn may_cut(mut self, may_cut: bool) -> Self {
        self.may_cut = may_cut;
        self
    }
    /// How much work it is to take it out.
    #[must_use]
    pub fn effort(mut self, effort: f64) -> Self {
        self.effort = effort;
        self
    }
    /// Continuous current its conductor bears.
    #[must_use]
    pub fn ampacity(mut self, ampacity: Option<Current>) -> Self {
        self.ampacity = ampacity;
        self
    }
    /// Points whose current need not pass this shunt.
    #[must_use]
    pub fn bypass(mut self, points: impl IntoIterator<Item = impl Into<String>>) -> Self {
        self.bypass = points.into_iter().map(Into::into).collect();
        self
    }
}

/// Points and paths that have passed the door, ordered by id, so that the order they came in changes nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct GroundGraph {
    system: ReturnSystem,
    points: Vec<Point>,
    paths: Vec<Path>,
    /// Index of both ends of each path.
    pub(super) ends: Vec<(usize, usize)>,
}

impl GroundGraph {
    /// Takes points and paths.
    ///
    /// # Errors
    /// [`Error::Input`] for an id that is there twice or empty, a path that begins and ends at one point or names a
    /// point that is not there, a resistance, effort or ampacity that is not above zero and finite, a shore earth that
    /// may be cut, a bypass list on what is no shunt, and a graph without a battery's negative.
    ///
    /// ```
    /// use orlop::network::ground::{GroundGraph, Path, PathKind, Point, ReturnSystem, Role};
    /// let points = vec![Point::new("BAT", Role::BatteryNegative), Point::new("ENGINE", Role::Engine)];
    /// let paths = vec![Path::new("BOND", "BAT", "ENGIN", PathKind::Bond)];
    /// let error = GroundGraph::new(ReturnSystem::OneBond, points, paths).unwrap_err();
    /// assert_eq!(error.to_string(), "path BOND: got 'ENGIN', expected the id of a point; there are: BAT, ENGINE");
    /// ```
    pub fn new(system: ReturnSystem, mut points: Vec<Point>, mut paths: Vec<Path>) -> Result<Self, Error> {
        points.sort_by(|a, b| a.id.cmp(&b.id));
        paths.sort_by(|a, b| a.id.cmp(&b.id));
        own_ids("points", points.iter().map(|p| p.id.as_str()))?;
        own_ids("paths", paths.iter().map(|p| p.id.as_str()))?;
        if !points.iter().any(|p| p.role == Role::BatteryNegative) {
            return Err(Error::input(
                "points",
                "no battery's negative",
                "at least one point of the role battery-negative",
            ));
        }
        let index: BTreeMap<&str, usize> =
            points.iter().enumerate().map(|(at, p)| (p.id.as_str(), at)).collect();
        let ends = paths.iter().map(|path| checked(path, &index)).collect::<Result<_, _>>()?;
        Ok(Self { system, points, paths, ends })
    }

    /// How negative and metal shall be joined.
    #[must_use]
    pub fn system(&self) -> ReturnSystem {
        self.system
    }
    /// The points, ordered by id.
    #[must_use]
    pub fn points(&self) -> &[Point] {
        &self.points
    }
    /// The paths, ordered by id.
    #[must_use]
    pub fn paths(&self) -> &[Path] {
        &self.paths
    }
    /// Index of a point.
    ///
    /// # Errors
    /// [`Error::Input`] with the points there are.
    pub(super) fn point(&self, id: &str, field: &str) -> Result<usize, Error> {
        self.points
            .binary_search_by(|p| p.id.as_str().cmp(id))
            .map_err(|_| unknown(field, id, self.points.iter().map(|p| p.id.as_str())))
    }
    pub(super) fn role(&self, point: usize) -> Role {
        self.points[point].role
    }
}

fn own_ids<'a>(field: &str, sorted: impl Iterator<Item = &'a str>) -> Result<(), Error> {
    let mut last: Option<&str> = None;
    for id in sorted {
        if id.trim().is_empty() {
            return Err(Error::input(field, "an empty id", "an id for each"));
        }
        if last == Some(id) {
            return Err(Error::input(field, format!("'{id}' twice"), "an id of its own for each"));
        }
        last = Some(id);
    }
    Ok(())
}

fn unknown<'a>(field: &str, id: &str, known: impl Iterator<Item = &'a str>) -> Error {
    let mut known: Vec<&str> = known.collect();
    let more = known.len().saturating_sub(12);
    known.truncate(12);
    let and = if more > 0 { format!(" and {more} more") } else { String::new() };
    Error::Input {
        field: field.into(),
        got: format!("'{id}'"),
        expected: "the id of a point".into(),
        hint: format!("there are: {}{and}", known.join(", ")),
    }
}

/// Both ends of a path that can be used.
fn checked(path: &Path, index: &BTreeMap<&str, usize>) -> Result<(usize, usize), Error> {
    let field = format!("path {}", path.id);
    let find = |id: &str| index.get(id).copied().ok_or_else(|| unknown(&field, id, index.keys().copied()));
    let ends = (find(&path.from)?, find(&path.to)?);
    if ends.0 == ends.1 {
        return Err(Error::input(
            &field,
            format!("both ends at '{}'", path.from),
            "ends at two different points",
        ));
    }
    for end in [path.resistance.low(), path.resistance.high()].into_iter().flatten() {
        positive(end, &format!("resistance of {field}"))?;
    }
    if let Some(ampacity) = path.ampacity {
        positive(ampacity, &format!("ampacity of {field}"))?;
    }
    if !(path.effort.is_finite() && path.effort > 0.0) {
        return Err(Error::input(
            &format!("effort of {field}"),
            path.effort.to_string(),
            "a number above zero",
        ));
    }
    if path.kind == PathKind::ShoreEarth && path.may_cut {
        return Err(Error::Input {
            field,
            got: "a shore earth that may be cut".into(),
            expected: "a shore earth that stays: it is a safety conductor".into(),
            hint: "against corrosion: a proper isolator, chosen by a qualified person".into(),
        });
    }
    if path.kind != PathKind::Shunt && !path.bypass.is_empty() {
        return Err(Error::input(&field, "a list of bypasses", "bypasses on shunts only"));
    }
    for id in &path.bypass {
        find(id)?;
    }
    Ok(ends)
}
