//! Fields of banks, their cells and thresholds.

use super::{AMBIENT, CURRENT, RESISTANCE, TIME, VOLTAGE};
use crate::document::fields::{
    Bound::{Between, NotNegative, Positive},
    Field, Target,
    What::{Choice, Count, Ends, Id, Ids, Quantity, Text},
    may, must, or, unless,
};
use orlop::cell::ChemistryId;
use orlop::pack::{Order, threshold};
use orlop_units::Kind;

pub(super) const BANK: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    must("place", Id(Target::Place), "BAT", "Where it is."),
    unless("cell", "nominal", VOLTAGE, "12.8 V", "Nominal voltage of the bank."),
    may("capacity", Quantity(Kind::Charge, Positive), "200 Ah", "Capacity of the whole bank."),
    unless("cell", "lowest", VOLTAGE, "11.5 V", "Lowest voltage at its terminals in service."),
    unless("cell", "highest", VOLTAGE, "14.6 V", "Highest voltage, with chargers running."),
    may("open_circuit", VOLTAGE, "13.4 V", "Voltage at rest when full."),
    or("strings", Count(1), "1", "Strings in parallel."),
    may(
        "string_resistance",
        Ends(Kind::Resistance),
        r#"{low = "2.5 mohm", high = "6 mohm"}"#,
        "Resistance of one string: warm and new, cold and old.",
    ),
    may(
        "cell",
        Id(Target::Cell),
        "LFP230",
        "The kind of cell it is built from; what is not given above then comes from it ...",
    ),
    may("series", Count(1), "4", "... cells or groups in a row ..."),
    may("parallel", Count(1), "2", "... cells or strings side by side, 1 when left out ..."),
    may(
        "order",
        Choice(Order::WORDS),
        "series-first",
        "... and which are tied first: side by side into groups, or in a row into strings with a manager each.",
    ),
    may("link", RESISTANCE, "0.06 mohm", "Resistance of one link between cells, its joints in it."),
    may(
        "parts",
        RESISTANCE,
        "0.66 mohm",
        "Contactor, fuse and leads: of each string, or of the whole when cells are tied side by side first.",
    ),
    may(
        "coldest",
        AMBIENT,
        "2 degC",
        "Coldest design temperature of its cells; left out: winter of its space.",
    ),
    may(
        "warmest",
        AMBIENT,
        "38 degC",
        "Warmest design temperature of its cells; left out: ambient of its space.",
    ),
    or(
        "least_charge",
        Quantity(Kind::Fraction, Between(0.0, 1.0)),
        "10 %",
        "Least charge with which a fault must still be cleared (cells only).",
    ),
    may("manager_continuous", CURRENT, "150 A", "What each manager carries for ever ..."),
    may("manager_peak", CURRENT, "300 A", "... and for a short time ..."),
    may("manager_peak_time", TIME, "10 s", "... of so long."),
    may("switch_breaks", CURRENT, "2000 A", "The largest current that the switch of each manager breaks ..."),
    may("switch_breaks_at", VOLTAGE, "60 V", "... at so much direct voltage."),
    may(
        "switch_opens_after",
        TIME,
        "20 ms",
        "How long after a fault begins it opens at the earliest: the fuse should be first.",
    ),
    may(
        "switch_resistance",
        Quantity(Kind::Resistance, Positive),
        "0.2 mohm",
        "Contacts, or semiconductors of both directions in a row, at 25 degC ...",
    ),
    may(
        "switch_growth",
        Quantity(Kind::Fraction, Between(0.0, 0.02)),
        "0.4 %",
        "... its growth for each kelvin; left out: 0.7 % ...",
    ),
    may(
        "switch_rise_per_watt",
        Quantity(Kind::TemperatureRise, Positive),
        "3 K",
        "... how much each watt of loss warms it ...",
    ),
    may(
        "switch_hottest",
        Quantity(Kind::Temperature, Between(-60.0, 250.0)),
        "85 degC",
        "... how hot its sheet lets it get (terminals, junction) ...",
    ),
    may("switch_ambient", AMBIENT, "40 degC", "... and where it stands; left out: warmest of the bank."),
    may(
        "coil_hold",
        Quantity(Kind::Power, Positive),
        "2 W",
        "Power that holds the switch of each manager closed; left out where it needs none ...",
    ),
    may("coil_pull", Quantity(Kind::Power, Positive), "40 W", "... that pulls it in ..."),
    may("coil_pull_time", TIME, "100 ms", "... for so long."),
    may(
        "precharge",
        Quantity(Kind::Resistance, Positive),
        "15 ohm",
        "Resistor that fills the capacitors of inverters before the switch closes ...",
    ),
    may("precharge_survives", Quantity(Kind::Energy, Positive), "50 J", "... the energy it survives ..."),
    may(
        "standing",
        Ids(Target::Load),
        r#"["ALARMS"]"#,
        "... and loads that take current meanwhile; left out: all that idle.",
    ),
    may("alarm_lead", TIME, "15 min", "Time wanted between the alarm of low voltage and the cut-off."),
    may(
        "leave_out",
        Ids(Target::Delivered),
        r#"["D15"]"#,
        "Delivered cells to leave out; when not given, those that should be rejected.",
    ),
];

pub(super) const CELL: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    must("chemistry", Choice(ChemistryId::WORDS), "lfp", "What it is made of."),
    must("capacity", Quantity(Kind::Charge, Positive), "230 Ah", "Capacity on its sheet."),
    may(
        "resistance_1khz",
        Quantity(Kind::Resistance, Positive),
        "0.18 mohm",
        "Resistance at 1 kHz, 25 degC, half charge. Known as label it counts as a maximum.",
    ),
    may(
        "resistance_dc",
        Quantity(Kind::Resistance, Positive),
        "0.55 mohm",
        "Resistance after 10 s of direct current, 25 degC, half charge. Known as label it counts as a maximum.",
    ),
    may("size", Text, "54 x 174 x 207 mm", "Thickness, width, height."),
    may("mass", Quantity(Kind::Mass, Positive), "4.15 kg", "Its mass."),
];

pub(super) const DELIVERED: &[Field] = &[
    must("bank", Id(Target::Bank), "BANK", "The bank it was bought for."),
    must("capacity", Quantity(Kind::Charge, Positive), "233.1 Ah", "Capacity as tested."),
    may("resistance_dc", Quantity(Kind::Resistance, Positive), "0.55 mohm", "Resistance after 10 s."),
    may("resistance_1khz", Quantity(Kind::Resistance, Positive), "0.18 mohm", "Resistance at 1 kHz."),
    may("arrival", Quantity(Kind::Voltage, NotNegative), "3.291 V", "Voltage on arrival."),
    may(
        "self_discharge",
        Quantity(Kind::Voltage, NotNegative),
        "0.5 mV",
        "Fall of its rest voltage, over the same days for every cell.",
    ),
    may("mass", Quantity(Kind::Mass, Positive), "4.15 kg", "Its mass."),
];

pub(super) const THRESHOLD: &[Field] = &[
    or("name", Text, "", "Its name for people."),
    must("bank", Id(Target::Bank), "BANK", "The bank it acts on."),
    must("role", Choice(threshold::Role::WORDS), "low-alarm", "What it does."),
    must("setting", VOLTAGE, "24.8 V", "The voltage at which it acts, at its own terminals."),
    or("cells", Count(1), "1", "Cells in series that it reads: 1 for a manager that reads each."),
    or("tolerance", Quantity(Kind::Voltage, NotNegative), "0 V", "Error of its reading, either way."),
    or(
        "spread",
        Quantity(Kind::Voltage, NotNegative),
        "0 V",
        "How far one cell may stand from the mean when it reads several.",
    ),
    or("cable", RESISTANCE, "0 ohm", "Both legs of the cable between it and the cells ..."),
    or(
        "current",
        Quantity(Kind::Current, NotNegative),
        "0 A",
        "... and the largest current in them when it acts.",
    ),
];
