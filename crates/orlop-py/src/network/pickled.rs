//! A network as bytes and back: numbers keep every bit.

use orlop::network::{Branch, Converter, Demand, Load, Network, Part, Source};
use orlop::{Error, Range};
use orlop_units::{Capacitance, Fraction, Quantity, Resistance};

/// The whole network.
pub fn write(net: &Network) -> Vec<u8> {
    let mut out = Out(Vec::new());
    let node = |at: usize| net.nodes()[at].as_str();
    out.list(&net.nodes()[1..], |out, name| out.text(name));
    out.list(net.sources(), |out, b| {
        out.ends(b, node);
        out.range(b.part.emf);
        out.range(b.part.resistance);
        out.flag(b.part.may_open);
    });
    out.list(net.branches(), |out, b| {
        out.ends(b, node);
        match b.part {
            Part::Resistance(range) => {
                out.number(0.0);
                out.range(range);
            }
            Part::Diode { forward, slope } => {
                out.number(1.0);
                out.number(forward.si());
                out.number(slope.si());
            }
        }
    });
    out.list(net.loads(), |out, b| {
        out.ends(b, node);
        let (kind, value) = match b.part.demand {
            Demand::Current(i) => (0.0, i.si()),
            Demand::Power(p) => (1.0, p.si()),
            Demand::Resistance(r) => (2.0, r.si()),
        };
        out.number(kind);
        out.number(value);
        out.option(b.part.motor.map(Quantity::si));
        out.capacitor(b.part.capacitor);
    });
    out.list(net.converters(), |out, feed| {
        let c = &feed.output.part;
        out.ends(&feed.output, node);
        out.flag(feed.input.is_some());
        if let Some((a, b)) = feed.input {
            out.text(node(a));
            out.text(node(b));
        }
        out.number(c.output.si());
        out.number(c.limit.si());
        out.number(c.efficiency.value());
        out.option(c.minimum.map(Quantity::si));
        out.flag(c.shuts_down);
        out.capacitor(c.capacitor);
        out.flag(c.runs);
    });
    out.0
}

/// The network of [`write`].
pub fn read(bytes: &[u8]) -> Result<Network, Error> {
    build(&mut In(bytes))
        .ok_or_else(|| Error::input("pickle", "bytes that are no network", "a pickled network"))?
}

/// None where the bytes end or are no text.
fn build(from: &mut In<'_>) -> Option<Result<Network, Error>> {
    let mut net = Network::new();
    macro_rules! tried {
        ($what:expr) => {
            if let Err(error) = $what {
                return Some(Err(error));
            }
        };
    }
    for _ in 0..from.count()? {
        tried!(net.node(&from.text()?));
    }
    for _ in 0..from.count()? {
        let (id, a, b) = from.ends()?;
        let source = Source { emf: from.range()?, resistance: from.range()?, may_open: from.flag()? };
        tried!(net.source(&id, &a, &b, source));
    }
    for _ in 0..from.count()? {
        let (id, a, b) = from.ends()?;
        let part = if from.number()? == 0.0 {
            Part::Resistance(from.range()?)
        } else {
            Part::Diode { forward: from.quantity()?, slope: from.quantity()? }
        };
        tried!(net.branch(&id, &a, &b, part));
    }
    for _ in 0..from.count()? {
        let (id, a, b) = from.ends()?;
        let demand = match from.number()? {
            0.0 => Demand::Current(from.quantity()?),
            1.0 => Demand::Power(from.quantity()?),
            _ => Demand::Resistance(from.quantity()?),
        };
        let load = Load { demand, motor: from.option()?, capacitor: from.capacitor()? };
        tried!(net.load(&id, &a, &b, load));
    }
    for _ in 0..from.count()? {
        let (id, a, b) = from.ends()?;
        let input = if from.flag()? { Some((from.text()?, from.text()?)) } else { None };
        let converter = Converter {
            output: from.quantity()?,
            limit: from.quantity()?,
            efficiency: Fraction::new(from.number()?),
            minimum: from.option()?,
            shuts_down: from.flag()?,
            capacitor: from.capacitor()?,
            runs: from.flag()?,
        };
        let input = input.as_ref().map(|(a, b)| (a.as_str(), b.as_str()));
        tried!(net.converter(&id, &a, &b, input, converter));
    }
    Some(Ok(net))
}

struct Out(Vec<u8>);

impl Out {
    fn number(&mut self, x: f64) {
        self.0.extend(x.to_le_bytes());
    }
    fn flag(&mut self, x: bool) {
        self.0.push(u8::from(x));
    }
    fn text(&mut self, x: &str) {
        self.0.extend((x.len() as u64).to_le_bytes());
        self.0.extend(x.as_bytes());
    }
    fn option(&mut self, x: Option<f64>) {
        self.flag(x.is_some());
        self.number(x.unwrap_or(0.0));
    }
    fn range<Q: Quantity>(&mut self, x: Range<Q>) {
        self.option(x.low().map(Q::si));
        self.option(x.high().map(Q::si));
    }
    fn capacitor(&mut self, x: Option<(Capacitance, Resistance)>) {
        self.option(x.map(|c| c.0.si()));
        self.option(x.map(|c| c.1.si()));
    }
    fn ends<'a, T>(&mut self, b: &Branch<T>, node: impl Fn(usize) -> &'a str) {
        self.text(&b.id);
        self.text(node(b.from));
        self.text(node(b.to));
    }
    fn list<T>(&mut self, all: &[T], each: impl Fn(&mut Self, &T)) {
        self.0.extend((all.len() as u64).to_le_bytes());
        for one in all {
            each(self, one);
        }
    }
}

struct In<'a>(&'a [u8]);

impl In<'_> {
    fn take(&mut self, n: usize) -> Option<&[u8]> {
        let (head, rest) = self.0.split_at_checked(n)?;
        self.0 = rest;
        Some(head)
    }
    fn count(&mut self) -> Option<usize> {
        let n = u64::from_le_bytes(self.take(8)?.try_into().ok()?);
        usize::try_from(n).ok()
    }
    fn number(&mut self) -> Option<f64> {
        Some(f64::from_le_bytes(self.take(8)?.try_into().ok()?))
    }
    fn quantity<Q: Quantity>(&mut self) -> Option<Q> {
        self.number().map(Q::from_si)
    }
    fn flag(&mut self) -> Option<bool> {
        Some(self.take(1)?[0] != 0)
    }
    fn text(&mut self) -> Option<String> {
        let n = self.count()?;
        String::from_utf8(self.take(n)?.to_vec()).ok()
    }
    fn option<Q: Quantity>(&mut self) -> Option<Option<Q>> {
        let there = self.flag()?;
        let value = self.quantity()?;
        Some(there.then_some(value))
    }
    fn range<Q: Quantity>(&mut self) -> Option<Range<Q>> {
        Some(Range::from_bounds(self.option()?, self.option()?))
    }
    fn capacitor(&mut self) -> Option<Option<(Capacitance, Resistance)>> {
        let (c, r) = (self.option()?, self.option()?);
        Some(c.zip(r))
    }
    fn ends(&mut self) -> Option<(String, String, String)> {
        Some((self.text()?, self.text()?, self.text()?))
    }
}
