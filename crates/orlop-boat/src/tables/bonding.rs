//! `bonding`: the paths of negative and bonding, what they are and what they carry.

use super::{Flag, Of, Text};
use crate::check::ground::ground;
use crate::design::Design;
use orlop::network::ground::Carried;
use orlop::table::{Schema, quantity, schema};
use orlop::{Error, Table};
use orlop_units::{Kind, Quantity};

pub(super) const BONDING: Schema = schema!("bonding", "one row per path of negative and bonding; empty when the file states no ground", [
    "id": Text, "address of the circuit whose negative leg it is, or of the bond";
    "name": Text, "name for people";
    "kind": Text, "negative-cable, shunt, bond, strap, shore-earth, incidental";
    "from": Text, "address of one end";
    "to": Text, "address of the other end";
    "lowest_ohm": Of(Kind::Resistance), "resistance cold and short";
    "highest_ohm": Of(Kind::Resistance), "resistance hot and long";
    "carries": Text, "current it may carry: nothing, return, starter";
    "starter_a": Of(Kind::Current), "most starter current in it";
    "return_a": Of(Kind::Current), "most return current in it";
    "case": Text, "when it carries most that it may not carry, else most return current";
    "heat_w": Of(Kind::Power), "most heat in it then";
    "ampacity_a": Of(Kind::Current), "continuous current its conductor bears, when its size is known";
    "bridge": Flag, "lies on no loop";
    "may_cut": Flag, "may be taken out";
    "take_out": Flag, "is among the fewest cuts that open every loop";
]);

pub(super) fn bonding(design: &Design) -> Result<Table, Error> {
    let mut table = Table::new(&BONDING);
    let Some(found) = ground(design).transpose()? else { return Ok(table) };
    for (path, most) in found.graph.paths().iter().zip(&found.most) {
        let high = |c: &Option<Carried>| c.as_ref().and_then(|c| c.current.high());
        let any = high(&most.starter).is_none_or(|i| i.si() > 0.0);
        let starter = most.starter.as_ref().filter(|c| any && !c.kind.permitted(path.carries));
        let worst = starter.or(most.returns.as_ref());
        table.push([
            path.id.as_str().into(),
            path.name.as_str().into(),
            path.kind.word().into(),
            path.from.as_str().into(),
            path.to.as_str().into(),
            quantity(path.resistance.low()),
            quantity(path.resistance.high()),
            path.carries.word().into(),
            quantity(high(&most.starter)),
            quantity(high(&most.returns)),
            worst.map(|c| c.flow.clone()).into(),
            quantity(worst.and_then(|c| c.heat)),
            quantity(path.ampacity),
            found.audit.bridges.contains(&path.id).into(),
            path.may_cut.into(),
            found.audit.cuts.iter().any(|c| c.path == path.id).into(),
        ]);
    }
    Ok(table)
}
