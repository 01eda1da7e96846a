//! What must hold for any pack and any row of parallel cells.

use orlop::cell::{Cell, ChemistryId, FaultConditions, StateOfCharge};
use orlop::pack::{
    Contact, Course, Failure, Ladder, Order, Pack, Prices, Sharing, TakeOff, Wired, capacity_of,
    share_current,
};
use orlop::solve::{Factor, Symbolic};
use orlop::units::{
    Charge, Current, Fraction, Quantity, Resistance, Temperature, Voltage, ampere_hours, amperes, ohms, volts,
};
use orlop::{Range, Working};
use proptest::prelude::*;

fn all<Q: Quantity>(values: &[f64]) -> Vec<Q> {
    values.iter().copied().map(Q::from_si).collect()
}

fn si<Q: Quantity>(values: &[Q]) -> Vec<f64> {
    values.iter().map(|q| q.si()).collect()
}

fn near(a: f64, b: f64, scale: f64) -> bool {
    (a - b).abs() <= 1e-9 * scale.max(1e-12)
}

/// Cells, positive links, negative links, voltages.
type Row = (Vec<f64>, Vec<f64>, Vec<f64>, Vec<f64>);

fn row() -> impl Strategy<Value = Row> {
    (1..12_usize).prop_flat_map(|n| {
        let cells = prop::collection::vec(0.1e-3..2e-3_f64, n);
        let link = || prop_oneof![1 => Just(0.0), 4 => 1e-6..0.5e-3_f64];
        let links = || prop::collection::vec(link(), n - 1);
        (cells, links(), links(), prop::collection::vec(3.2..3.4_f64, n))
    })
}

fn ladder((cells, positive, negative, voltages): &Row) -> Ladder {
    Ladder::new(&all(cells), &all(positive), &all(negative)).unwrap().with_voltages(&all(voltages)).unwrap()
}

fn at(positive: usize, negative: usize) -> TakeOff {
    TakeOff::At { positive, negative }
}

/// The currents by node voltages, with the sparse factor: another method altogether.
fn by_nodes((cells, positive, negative, voltages): &Row, take: (usize, usize), load: f64) -> Vec<f64> {
    let n = cells.len();
    let reference = n + take.1 - 1;
    let unknown = |node: usize| if node > reference { node - 1 } else { node };
    let mut edges: Vec<(usize, usize, f64, f64)> = Vec::new();
    for k in 0..n {
        edges.push((k, n + k, cells[k], voltages[k]));
    }
    for k in 0..n - 1 {
        edges.push((k, k + 1, positive[k].max(1e-12), 0.0));
        edges.push((n + k, n + k + 1, negative[k].max(1e-12), 0.0));
    }
    let inner: Vec<_> = edges.iter().filter(|e| e.0 != reference && e.1 != reference).collect();
    let pairs: Vec<(u32, u32)> = inner.iter().map(|e| (unknown(e.0) as u32, unknown(e.1) as u32)).collect();
    let symbolic = Symbolic::new(2 * n - 1, &pairs);
    let mut diagonal = vec![0.0; 2 * n - 1];
    let mut coupling = vec![0.0; symbolic.slots()];
    let mut x = vec![0.0; 2 * n - 1];
    for (a, b, r, e) in &edges {
        for (node, push) in [(a, e / r), (b, -e / r)] {
            if *node != reference {
                diagonal[symbolic.place(unknown(*node))] += 1.0 / r;
                x[symbolic.place(unknown(*node))] += push;
            }
        }
    }
    for (slot, e) in inner.iter().enumerate() {
        coupling[symbolic.slot(slot)] -= 1.0 / e.2;
    }
    x[symbolic.place(unknown(take.0 - 1))] -= load;
    let mut factor = Factor::new(&symbolic);
    factor.factor(&symbolic, &diagonal, &coupling).unwrap();
    factor.solve(&symbolic, &mut x);
    let volt = |node: usize| if node == reference { 0.0 } else { x[symbolic.place(unknown(node))] };
    (0..n).map(|k| (voltages[k] - (volt(k) - volt(n + k))) / cells[k]).collect()
}

proptest! {
    #[test]
    fn sharing_agrees_with_node_voltages(row in row(), p in 0..12_usize, n in 0..12_usize, load in -300.0..300.0_f64) {
        let count = row.0.len();
        let take = (p % count + 1, n % count + 1);
        let ours = ladder(&row).share(at(take.0, take.1), amperes(load)).unwrap();
        for (a, b) in ours.currents.iter().zip(by_nodes(&row, take, load)) {
            // Node voltages lose digits where links of a picoohm stand in for ideal ones.
            prop_assert!((a.si() - b).abs() < 1e-3 * (1.0 + load.abs()), "{} {b}", a.si());
        }
    }

    #[test]
    fn currents_add_up_and_heat_is_what_is_lost(row in row(), p in 0..12_usize, n in 0..12_usize, load in -300.0..300.0_f64) {
        let count = row.0.len();
        let shared = ladder(&row).share(at(p % count + 1, n % count + 1), amperes(load)).unwrap();
        let scale = 1e3;
        prop_assert!(near(si(&shared.currents).iter().sum(), load, scale));
        // Power of the voltages of the cells = power of the load + heat.
        let given: f64 = shared.currents.iter().zip(&row.3).map(|(i, e)| i.si() * e).sum();
        let taken = shared.voltage.unwrap().si() * load;
        prop_assert!(near(given, taken + shared.heat().si(), 1e4), "{given} {taken} {}", shared.heat().si());
    }

    #[test]
    fn sharing_is_linear(row in row(), a in -200.0..200.0_f64, b in -200.0..200.0_f64) {
        let share = |load: f64| si(&ladder(&row).share(TakeOff::Diagonal, amperes(load)).unwrap().currents);
        let (x, y, both, none) = (share(a), share(b), share(a + b), share(0.0));
        for k in 0..x.len() {
            prop_assert!(near(x[k] + y[k] - none[k], both[k], 1e3));
        }
    }

    #[test]
    fn a_symmetric_take_off_shares_mirror_symmetrically(
        n in 1..20_usize, cell in 0.1e-3..2e-3_f64, link in 0.0..0.5e-3_f64, end in 0..20_usize,
    ) {
        let row = Ladder::even(n, ohms(cell), ohms(link)).unwrap();
        let end = end % n + 1;
        for take_off in [TakeOff::Diagonal, TakeOff::Middle, at(end, n + 1 - end)] {
            let i = si(&row.share(take_off, amperes(100.0)).unwrap().currents);
            for k in 0..n {
                prop_assert!(near(i[k], i[n - 1 - k], 100.0), "{take_off}: {i:?}");
            }
        }
    }

    #[test]
    fn with_ideal_links_the_order_of_cells_is_nothing(cells in prop::collection::vec(0.1e-3..2e-3_f64, 1..12)) {
        let share = |cells: &[f64]| {
            let none = vec![ohms(0.0); cells.len() - 1];
            let row = Ladder::new(&all(cells), &none, &none).unwrap();
            row.share(TakeOff::SameEnd, amperes(100.0)).unwrap()
        };
        let mut turned = cells.clone();
        turned.reverse();
        let (a, b) = (share(&cells), share(&turned));
        let conductance: f64 = cells.iter().map(|r| 1.0 / r).sum();
        for k in 0..cells.len() {
            prop_assert!(near(a.currents[k].si(), b.currents[cells.len() - 1 - k].si(), 100.0));
            prop_assert!(near(a.currents[k].si(), 100.0 / cells[k] / conductance, 100.0));
        }
        prop_assert!(near(a.resistance.si(), 1.0 / conductance, 1.0 / conductance));
    }

    #[test]
    fn both_leads_at_one_end_load_the_first_cell_most(n in 2..20_usize, cell in 0.1e-3..2e-3_f64, link in 1e-6..0.5e-3_f64) {
        let row = Ladder::even(n, ohms(cell), ohms(link)).unwrap();
        let i = si(&row.share(TakeOff::SameEnd, amperes(100.0)).unwrap().currents);
        prop_assert!(i.windows(2).all(|w| w[0] > w[1]), "{i:?}");
    }

    #[test]
    fn the_best_take_off_is_the_best_of_all(row in row(), load in 10.0..300.0_f64) {
        let row = ladder(&row);
        let most = |s: &Sharing| s.currents.iter().map(|i| (i.si() / load).abs()).fold(0.0, f64::max);
        let best = row.best_take_off(amperes(load)).unwrap();
        let found = most(&best.sharing);
        for p in 1..=row.len() {
            for n in 1..=row.len() {
                let other = most(&row.share(at(p, n), amperes(load)).unwrap());
                prop_assert!(found <= other * (1.0 + 1e-6), "{} against ({p}, {n}) {other}", best.take_off);
            }
        }
    }

    #[test]
    fn the_largest_link_keeps_its_promise(n in 2..10_usize, cell in 0.1e-3..2e-3_f64, permitted in 0.01..0.5_f64) {
        let row = Ladder::even(n, ohms(cell), ohms(0.0)).unwrap();
        let limit = row.largest_link(TakeOff::SameEnd, amperes(100.0), Fraction::new(permitted)).unwrap();
        let excess = |link: f64| {
            let row = Ladder::even(n, ohms(cell), ohms(link)).unwrap();
            row.share(TakeOff::SameEnd, amperes(100.0)).unwrap().excess().unwrap().value()
        };
        prop_assert!(excess(limit.resistance.si()) <= permitted * (1.0 + 1e-9));
        prop_assert!(excess(limit.resistance.si() * 1.001) > permitted);
    }

    #[test]
    fn a_cell_that_is_open_carries_nothing(row in row(), out in 0..12_usize, load in 1.0..300.0_f64) {
        let count = row.0.len();
        let out = out % count + 1;
        prop_assume!(count > 1);
        let shared = ladder(&row).without(out).unwrap().share(TakeOff::Diagonal, amperes(load)).unwrap();
        prop_assert_eq!(shared.currents[out - 1].si(), 0.0);
        // The same as a cell behind a joint that passes next to nothing.
        let broken = ladder(&row).with_joint(Contact::Cell(out), ohms(1e9)).unwrap();
        let broken = broken.share(TakeOff::Diagonal, amperes(load)).unwrap();
        for (a, b) in shared.currents.iter().zip(&broken.currents) {
            prop_assert!((a.si() - b.si()).abs() < 1e-4, "{:?} {:?}", a, b);
        }
        prop_assert!((shared.voltage.unwrap().si() - broken.voltage.unwrap().si()).abs() < 1e-6);
    }

    #[test]
    fn capacity_grows_with_every_cell(
        series in 1..6_usize, parallel in 1..6_usize, seed in prop::collection::vec(80.0..120.0_f64, 36), cell in 0..36_usize,
        more in 0.0..50.0_f64,
    ) {
        let count = series * parallel;
        let cells: Vec<Charge> = seed[..count].iter().copied().map(ampere_hours).collect();
        let mut better = cells.clone();
        better[cell % count] += ampere_hours(more);
        for order in [Order::ParallelFirst, Order::SeriesFirst] {
            let of = |cells: &[Charge]| capacity_of(series, parallel, order, cells).unwrap();
            prop_assert!(of(&better) >= of(&cells));
        }
        // Members of a group, groups of a pack, cells and strings may all change places.
        let mut turned = cells.clone();
        turned.reverse();
        for order in [Order::ParallelFirst, Order::SeriesFirst] {
            let of = |cells: &[Charge]| capacity_of(series, parallel, order, cells).unwrap().si();
            prop_assert!(near(of(&turned), of(&cells), 1e6));
        }
    }

    #[test]
    fn faults_are_two_sided_and_more_strings_bring_more(
        series in 1..20_u32, parallel in 1..8_u32, first in prop::bool::ANY, fast in 0.1e-3..0.3e-3_f64, ratio in 1.2..4.0_f64,
        link in 0.0..0.1e-3_f64, parts in 0.0..1e-3_f64,
    ) {
        let order = if first { Order::ParallelFirst } else { Order::SeriesFirst };
        let cell = Cell::new(ChemistryId::Lfp, ampere_hours(230.0)).unwrap()
            .with_resistance_1khz(Range::exactly(ohms(fast))).unwrap()
            .with_resistance_dc(Range::exactly(ohms(fast * ratio))).unwrap();
        let pack = |parallel| Pack::new(cell, series, parallel, order).unwrap()
            .with_link(Range::exactly(ohms(link))).unwrap()
            .with_parts(Range::exactly(ohms(parts))).unwrap();
        let fault = pack(parallel).fault_current(conditions()).unwrap();
        let more = pack(parallel + 1).fault_current(conditions()).unwrap();
        prop_assert!(fault.current.low().unwrap() < fault.current.high().unwrap());
        prop_assert!(fault.current.low().unwrap() <= fault.all_closed.low().unwrap());
        prop_assert!(more.all_closed.high().unwrap() >= fault.all_closed.high().unwrap());
        // One string alone is the same either way.
        let single = |order| Pack::new(cell, series, 1, order).unwrap()
            .with_link(Range::exactly(ohms(link))).unwrap()
            .with_parts(Range::exactly(ohms(parts))).unwrap()
            .fault_current(conditions()).unwrap().current;
        let (a, b) = (single(Order::ParallelFirst), single(Order::SeriesFirst));
        prop_assert!(near(a.low().unwrap().si(), b.low().unwrap().si(), 1e5));
        prop_assert!(near(a.high().unwrap().si(), b.high().unwrap().si(), 1e5));
    }
}

fn conditions() -> FaultConditions {
    FaultConditions {
        warmest: Some(Temperature::celsius(40.0)),
        coldest: Some(Temperature::celsius(0.0)),
        least_charge: Some(StateOfCharge::new(0.2).unwrap()),
        highest_voltage: None,
        lowest_voltage: None,
    }
}

// What is left.

fn bank(order: Order) -> Pack {
    let cell = Cell::new(ChemistryId::Lfp, ampere_hours(230.0))
        .unwrap()
        .with_resistance_1khz(Range::exactly(ohms(0.18e-3)))
        .unwrap()
        .with_resistance_dc(Range::exactly(ohms(0.55e-3)))
        .unwrap();
    Pack::new(cell, 8, 2, order)
        .unwrap()
        .with_link(Range::exactly(ohms(0.06e-3)))
        .unwrap()
        .with_parts(Range::new(ohms(0.5e-3), ohms(0.8e-3)))
        .unwrap()
}

#[test]
fn a_short_in_a_group_is_fed_by_its_twin_and_takes_all_out() {
    let left = bank(Order::ParallelFirst).after(Failure::CellShort, Some(conditions())).unwrap();
    assert_eq!(left.share.value(), 0.0);
    assert!(left.burden.is_none());
    let twin = left.short_current.unwrap();
    // One twin through two links, both ends as the cell itself has them in a fault.
    let ends = bank(Order::ParallelFirst).cell().fault(conditions()).unwrap();
    let links = 2.0 * 0.06e-3;
    let high = ends.voltage.high().unwrap().si() / (ends.resistance.low().unwrap().si() + links);
    let low = ends.voltage.low().unwrap().si() / (ends.resistance.high().unwrap().si() + links);
    assert!(
        near(twin.high().unwrap().si(), high, high) && near(twin.low().unwrap().si(), low, low),
        "{twin}"
    );
    assert!(left.what.contains("no manager or fuse outside the group"));
    // Strings: the other string drives one cell voltage through both, and half is left.
    let left = bank(Order::SeriesFirst).after(Failure::CellShort, Some(conditions())).unwrap();
    assert_eq!(left.share.value(), 0.5);
    assert!(left.short_current.unwrap().high().unwrap().si() < high / 5.0);
}

#[test]
fn both_orders_side_by_side() {
    let prices = Prices { cell: 100.0, manager: 150.0, disconnect: 60.0, fuse: 40.0, shunt: 30.0, link: 0.0 };
    let [groups, strings] = bank(Order::SeriesFirst).both_orders(Some(conditions()), Some(prices)).unwrap();
    assert_eq!((groups.parts.managers, groups.parts.monitored_voltages), (1, 8));
    assert_eq!((strings.parts.managers, strings.parts.monitored_voltages), (2, 16));
    assert_eq!((groups.parts.series_links, groups.parts.rail_links), (7, 16));
    assert_eq!((strings.parts.series_links, strings.parts.rail_links), (14, 0));
    // Strings cost (p - 1) times manager, disconnect, fuse and shunt more.
    assert!(near(strings.cost.unwrap() - groups.cost.unwrap(), 280.0, 280.0));
    let shares = |v: &[orlop::pack::Remains]| v.iter().map(|r| r.share.value()).collect::<Vec<_>>();
    assert_eq!(shares(&groups.after), [0.5, 0.0, 0.0, 0.5, 0.0]);
    assert_eq!(shares(&strings.after), [0.5, 0.5, 0.5, 0.5, 0.5]);
}

#[test]
fn closing_within_the_window_keeps_the_permitted_current() {
    let (half, warm) = (StateOfCharge::new(0.5).unwrap(), Temperature::celsius(25.0));
    for order in Order::ALL {
        let pack = bank(*order);
        let window = pack.closing_window(amperes(150.0), half, warm).unwrap();
        assert!(window.closing < window.sustained);
        let flow = pack.equalising(window.closing, half, warm).unwrap();
        assert!(near(flow.closing.high().unwrap().si(), 150.0, 150.0));
        assert!(flow.sustained.high().unwrap().si() < 150.0);
        assert!(window.hidden_charge.value() > 0.0);
    }
    // On the flat part a voltmeter does not see the charge.
    let window = bank(Order::SeriesFirst).closing_window(amperes(150.0), half, warm).unwrap();
    assert!(
        window.hidden_charge.value() > 0.1 && window.flags.iter().any(|f| f.contains("near full charge"))
    );
}

// Bad input.

#[test]
fn bad_input_never_gives_a_number() {
    let cell = Cell::new(ChemistryId::Lfp, ampere_hours(100.0)).unwrap();
    for (s, p) in [(0, 1), (1, 0), (u32::MAX, 1)] {
        assert_eq!(Pack::new(cell, s, p, Order::SeriesFirst).unwrap_err().code(), "input");
    }
    let text = Pack::new(cell, 0, 2, Order::SeriesFirst).unwrap_err().to_string();
    assert_eq!(text, "series: got 0, expected a count from 1 to 100000");
    assert!(Cell::new(ChemistryId::Lfp, ampere_hours(-5.0)).is_err());
    let pack = Pack::new(cell, 8, 2, Order::SeriesFirst).unwrap();
    for bad in [-1e-3, f64::NAN, f64::INFINITY] {
        assert!(pack.with_link(Range::exactly(ohms(bad))).is_err());
        assert!(pack.with_parts(Range::exactly(ohms(bad))).is_err());
        assert!(pack.loss(Fraction::new(bad), Fraction::new(0.1)).is_err());
        assert!(pack.closing_window(amperes(bad), StateOfCharge::FULL, Temperature::celsius(25.0)).is_err());
        assert!(pack.equalising(volts(bad), StateOfCharge::FULL, Temperature::celsius(25.0)).is_err());
        let prices = Prices { cell: bad, manager: 1.0, disconnect: 1.0, fuse: 1.0, shunt: 1.0, link: 1.0 };
        assert!(pack.both_orders(Some(conditions()), Some(prices)).is_err());
    }
    // Temperatures outside the data.
    let cold = FaultConditions { coldest: Some(Temperature::celsius(-80.0)), ..conditions() };
    assert_eq!(pack.fault_current(cold).unwrap_err().code(), "out-of-table");
    // A link that is not there.
    let single = Pack::new(cell, 1, 1, Order::SeriesFirst).unwrap();
    assert!(single.after(Failure::SeriesLink, Some(conditions())).is_err());
    assert!(single.after(Failure::RailLink, Some(conditions())).is_err());
    assert!(single.equalising(volts(1.0), StateOfCharge::FULL, Temperature::celsius(25.0)).is_err());
    // Links not known: no least current.
    let fault = pack.fault_current(conditions()).unwrap();
    assert!(fault.current.low().is_none() && fault.current.high().is_some());
    assert!(fault.flags.iter().any(|f| f.contains("not known")));
    // Capacities.
    let count = [ampere_hours(100.0); 3];
    assert!(
        capacity_of(2, 2, Order::SeriesFirst, &count).unwrap_err().to_string().contains("2 x 2 capacities")
    );
    assert!(capacity_of(0, 2, Order::SeriesFirst, &[]).is_err());
    assert!(capacity_of(1, 1, Order::SeriesFirst, &[ampere_hours(f64::NAN)]).is_err());
}

#[test]
fn bad_rows_are_refused() {
    let r = [ohms(1e-3); 3];
    let links = [ohms(1e-4); 2];
    assert!(Ladder::new(&[], &[], &[]).is_err());
    assert!(Ladder::even(0, ohms(1e-3), ohms(0.0)).is_err());
    assert!(Ladder::new(&r, &links[..1], &links).unwrap_err().to_string().contains("2 links for 3 cells"));
    for bad in [0.0, -1e-3, f64::NAN, f64::INFINITY] {
        assert!(Ladder::new(&[ohms(bad); 3], &links, &links).is_err());
        if bad != 0.0 {
            assert!(Ladder::new(&r, &[ohms(bad); 2], &links).is_err());
        }
        assert!(Ladder::new(&r, &links, &links).unwrap().with_voltages(&[volts(bad); 3]).is_err());
    }
    let row = Ladder::new(&r, &links, &links).unwrap();
    for contact in [Contact::Cell(0), Contact::Cell(4), Contact::PositiveLink(3), Contact::NegativeLink(0)] {
        assert!(row.clone().with_joint(contact, ohms(1e-3)).is_err());
    }
    assert!(row.clone().with_joint(Contact::Cell(1), ohms(-1e-3)).is_err());
    assert!(row.clone().with_voltages(&[volts(3.3); 2]).is_err());
    for bad in [f64::NAN, f64::INFINITY] {
        assert!(row.share(TakeOff::SameEnd, amperes(bad)).is_err());
    }
    assert!(row.share(at(0, 1), amperes(1.0)).is_err() && row.share(at(1, 4), amperes(1.0)).is_err());
    assert!(row.best_take_off(amperes(0.0)).is_err());
    assert!(row.largest_link(TakeOff::SameEnd, amperes(1.0), Fraction::new(0.0)).is_err());
    let one = Ladder::even(1, ohms(1e-3), ohms(0.0)).unwrap();
    assert!(one.largest_link(TakeOff::SameEnd, amperes(1.0), Fraction::new(0.1)).is_err());
    assert_eq!(one.without(1).unwrap_err().code(), "no-solution");
    let worse = row.with_joint(Contact::Cell(2), ohms(2e-3)).unwrap();
    let none = worse.largest_link(TakeOff::Diagonal, amperes(1.0), Fraction::new(0.1)).unwrap_err();
    assert_eq!(none.code(), "no-solution");
    assert!(none.to_string().contains("with ideal links"), "{none}");
    assert!(
        TakeOff::parse("sideways", "takeoff").unwrap_err().to_string().contains("same-end, diagonal, middle")
    );
    let unknown = Range::from_bounds(Some(ohms(0.0)), None);
    let cell = Cell::new(ChemistryId::Lfp, ampere_hours(100.0)).unwrap();
    let (half, warm) = (StateOfCharge::new(0.5).unwrap(), Temperature::celsius(25.0));
    assert!(share_current(&[cell; 2], unknown, TakeOff::SameEnd, amperes(1.0), half, warm).is_err());
    assert!(
        share_current(&[], Range::exactly(ohms(0.0)), TakeOff::SameEnd, amperes(1.0), half, warm).is_err()
    );
}

#[test]
fn workings_name_their_source() {
    let mut working = Working::new("sharing");
    let row = Ladder::even(4, ohms(0.55e-3), ohms(0.08e-3)).unwrap();
    row.share_recorded(TakeOff::SameEnd, amperes(100.0), &mut working).unwrap();
    assert!(working.to_string().contains("Kirchhoff"));
    let mut working = Working::new("fault");
    bank(Order::SeriesFirst).fault_current_recorded(conditions(), &mut working).unwrap();
    assert!(working.steps.len() > 5);
}

/// A type for the eye of the compiler: the results are plain data.
#[test]
fn results_are_plain_data() {
    fn plain<T: Clone + std::fmt::Debug + PartialEq + Send + Sync>() {}
    plain::<Sharing>();
    plain::<Course>();
    plain::<Pack>();
    plain::<Wired>();
    plain::<(Voltage, Current, Resistance)>();
}
