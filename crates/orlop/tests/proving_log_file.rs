//! Log files of every kind: what is read, what is told, what is refused.

use orlop::Error;
use orlop::proving::capacity::Sign;
use orlop::proving::log_file::{Choice, FileFormat, FileLog, LogFile, Role};
use orlop::units::{Quantity, show};
use proptest::prelude::*;

fn read_by(text: &[u8], format: FileFormat, piece: usize) -> Result<FileLog, Error> {
    let mut file = LogFile::new(format);
    for bytes in text.chunks(piece) {
        file.push(bytes)?;
    }
    file.finish()
}

fn read(text: &str) -> Result<FileLog, Error> {
    read_by(text.as_bytes(), FileFormat::default(), 1 << 20)
}

fn said(text: &str) -> String {
    read(text).unwrap_err().to_string()
}

const PLAIN: &str = "time_h,current_a,voltage_v\n0,36.0,13.3\n2,36.0,13.1\n5,36.0,11.2\n";

/// What one file shows is what all others show that say the same.
fn same_as_plain(text: &str) -> FileLog {
    let (plain, other) = (read(PLAIN).unwrap(), read(text).unwrap());
    assert_eq!(other.log.charge, plain.log.charge, "{text}");
    assert_eq!(other.log.energy, plain.log.energy, "{text}");
    assert_eq!(other.log.duration, plain.log.duration, "{text}");
    other
}

#[test]
fn marks_ends_and_quotes() {
    same_as_plain("\u{feff}time_h,current_a,voltage_v\r\n0,36.0,13.3\r\n2,36.0,13.1\r\n5,36.0,11.2");
    same_as_plain("time_h;current_a;voltage_v\n0;36,0;13,3\n2;36,0;13,1\n5;36,0;11,2\n");
    same_as_plain("time_h\tcurrent_a\tvoltage_v\n0\t36\t13.3\n\n2\t36\t13.1\n5\t36\t11.2\n");
    same_as_plain(
        "\"time_h\",\"current_a\",\"voltage_v\"\n\"0\",\"36,0\",\"13,3\"\n\"2\",\"36,0\",\"13,1\"\n\"5\",\"36,0\",\"11,2\"\n",
    );
    same_as_plain("time_h,current_a,voltage_v,\r0,36.0,13.3,\r2,36.0,13.1,\r5,36.0,11.2,\r");
    same_as_plain("time_h, current_a, voltage_v\n0, 36.0, 13.3\n2, +3.6e1, 13.1\n5, 36.0, 11.2\n");
}

#[test]
fn names_and_units() {
    let other = same_as_plain(
        "# shunt 3\nDevice: one\nSerial,77\n\nElapsed (min),Notes,Battery current [mA],Battery voltage (mV),Max cell voltage (V)\n\
         0,a,36000,13300,3.4\n120,b,36000,13100,3.4\n300,c,36000,11200,3.4\n",
    );
    assert_eq!(
        other.notes[1],
        "time from 'Elapsed (min)', current from 'Battery current [mA]', voltage from 'Battery voltage (mV)'"
    );
    assert_eq!(other.notes[2], "row 1 is after line 5 of the file");
    assert_eq!(other.notes[3], "not read: Notes, Max cell voltage (V)");
    let warm = read("time_h,current_a,Temp (°F)\n0,36,77\n5,36,77\n").unwrap();
    assert!((warm.log.mean_temperature.unwrap().degrees_celsius() - 25.0).abs() < 1e-9);
    let latin = b"time_h,current_a,Temp (\xb0C)\n0,36,25\n5,36,25\n";
    let warm = read_by(latin, FileFormat::default(), 7).unwrap();
    assert_eq!(warm.log.mean_temperature.unwrap().degrees_celsius(), 25.0);
    let cells = read(
        "time_h,current_a,cell_1_v,Cell 2 voltage (mV),soc_percent\n0,36,3.3,3290,100\n5,36,2.8,3000,20\n",
    )
    .unwrap();
    assert_eq!(cells.cells, ["cell_1_v", "Cell 2 voltage (mV)"]);
    assert_eq!(show(cells.log.end_cells[1].unwrap()), "3 V");
    assert_eq!(cells.log.course[1].indicated_percent, Some(20.0));
}

#[test]
fn dates_and_clocks() {
    same_as_plain(
        "Timestamp;current_a;voltage_v\n2026-05-04 22:00:00;36;13.3\n2026-05-05 00:00:00;36;13.1\n2026-05-05 03:00:00;36;11.2\n",
    );
    same_as_plain(
        "time,current_a,voltage_v\n04.05.2026 22:00,36,13.3\n05.05.2026 00:00,36,13.1\n05.05.2026 03:00,36,11.2\n",
    );
    same_as_plain(
        "Date,Time,current_a,voltage_v\n2026-05-04,22:00:00,36,13.3\n2026-05-05,00:00:00,36,13.1\n2026-05-05,03:00:00,36,11.2\n",
    );
    let night =
        same_as_plain("Time,current_a,voltage_v\n22:00:00,36,13.3\n00:00:00,36,13.1\n03:00:00,36,11.2\n");
    assert!(
        night.notes.iter().any(|n| n == "the clock has no dates and passes midnight in row 2"),
        "{:?}",
        night.notes
    );
    same_as_plain(
        "Date,time_h,current_a,voltage_v\n2026-05-04,0,36,13.3\n2026-05-05,2,36,13.1\n2026-05-05,5,36,11.2\n",
    );
    // A row whose date is missing is left out, whatever its time of day.
    let gap =
        read("Date,Time,current_a\n2026-05-04,22:00:00,36\n,23:00:00,36\n2026-05-05,03:00:00,36\n").unwrap();
    assert_eq!((show(gap.log.charge), gap.log.care.missing.rows), ("180 Ah".into(), 1));
    assert!(
        said("time,current_a\n05/04/2026 07:00,1\n05/04/2026 08:00,1\n").contains("write the year first")
    );
}

#[test]
fn columns_that_are_named_by_hand() {
    let choose = |role, column: &str| Choice { role, column: column.into() };
    let text = b"t;I;U pack;x\n0;36;13.3;1\n2;36;13.1;2\n5;36;11.2;3\n";
    let columns = vec![
        choose(Role::Time, "t [h]"),
        choose(Role::Current, "I [A]"),
        choose(Role::Voltage, "U pack [V]"),
    ];
    let read = |columns| read_by(text, FileFormat { columns, ..FileFormat::default() }, 5);
    assert_eq!(show(read(columns.clone()).unwrap().log.charge), "180 Ah");
    let without = vec![choose(Role::Time, "t"), columns[1].clone()];
    let error = read(without).unwrap_err().to_string();
    assert!(
        error.contains("a column 't' without a unit") && error.contains("column time='t [s]'"),
        "{error}"
    );
    let error = read(vec![choose(Role::Time, "t [h]"), choose(Role::Current, "J")]).unwrap_err().to_string();
    assert!(error.contains("a column 'J'") && error.contains("'I'"), "{error}");
    assert!(Role::parse("amps").unwrap_err().to_string().contains("current"));
}

#[test]
fn what_is_refused_is_named() {
    for (text, words) in [
        ("", "no rows"),
        ("\n\n# nothing\n", "no rows"),
        ("time_s,current_a\n", "a log of two rows or more"),
        ("time_s,current_a\n0,1\n", "1 usable row"),
        ("time_s,voltage_v\n0,13\n1,13\n", "no column that is a current, but 'time_s', 'voltage_v'"),
        ("current_a,voltage_v\n0,13\n1,13\n", "no column that is a time"),
        (
            "time_s,Battery current (A),Charger current (A)\n0,1,1\n",
            "two columns that may be it: 'Battery current (A)' and 'Charger current (A)'",
        ),
        ("time_s,current\n0,1\n1,1\n", "a column 'current' without a unit"),
        ("time,current_a\n0,1\n1,1\n", "a column 'time' without a unit"),
        ("0,1\n1,1\n", "'0,1' in line 1 as the head"),
        ("hello\nworld\n", "a first line without comma, semicolon or tab: 'hello'"),
        ("time_s,current_a\n0,1,5\n1,1,5\n", "3 fields in row 1 under 2 names"),
        ("time_s;current_a\n0;1,5\n1;1.5\n", "decimal points in row 2 and decimal commas in row 1"),
        ("time_s;current_a\n0;1.234,5\n1;1.234,5\n", "'1.234,5' in column 'current_a'"),
        (
            "time_s,current_a\n0,1\n1,NaN\n2,\n3,null\n",
            "3 of 4 rows without time or current, the first is row 2",
        ),
        (
            "time_s,current_a\n0,1\n1,x\n2,x\n3,x\n",
            "the first cell that could not be read is 'x' in row 2, column 'current_a'",
        ),
        ("time_s,current_a\n\u{0}\n", "a zero byte"),
    ] {
        let error = said(text);
        assert!(error.contains(words), "{text:?}: {error}");
    }
    let utf16: Vec<u8> = [0xff, 0xfe].into_iter().chain("time_s,".bytes().flat_map(|b| [b, 0])).collect();
    assert!(read_by(&utf16, FileFormat::default(), 99).unwrap_err().to_string().contains("UTF-16"));
    let stated = FileFormat { sign: Sign::ChargePositive, ..FileFormat::default() };
    assert!(read_by(PLAIN.as_bytes(), stated, 99).unwrap_err().to_string().contains("turn the sign"));
}

#[test]
fn time_that_goes_back_is_named_by_its_row() {
    let mut text = String::from("time_s,current_a\n");
    for k in 0..2000 {
        text += &format!("{},5\n", if k < 1000 { k } else { k - 1000 });
    }
    let error = said(&text);
    assert!(error.contains("row 1001 at 0 s") && error.contains("sort the file by time"), "{error}");
}

#[test]
fn what_could_not_be_read_is_told() {
    let read = read("time_s,current_a,voltage_v\n0,1,13\n1,oops,13\n2,1,--\n3,1\n4,1,12.9\n").unwrap();
    let notes = read.notes.join("\n");
    assert!(
        notes.contains(
            "1 cells could not be read and count as missing; the first is 'oops' in row 2, column 'current_a'"
        ),
        "{notes}"
    );
    assert!(notes.contains("1 rows end too soon; the first is row 4"), "{notes}");
    assert_eq!((read.log.care.missing.rows, read.log.care.missing_voltage.rows), (1, 2));
}

/// Megabytes of noise, with and without line ends and a head before it, end in an error that is soon there.
#[test]
fn noise() {
    let mut state = 1_u64;
    let mut next = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as u8
    };
    let any: Vec<u8> = (0..3_000_000).map(|_| next()).collect();
    let letters: Vec<u8> = any.iter().map(|b| 32 + b % 95).collect();
    let lines: Vec<u8> = any.iter().map(|b| if b % 20 == 0 { b'\n' } else { 32 + b % 95 }).collect();
    for noise in [any, letters, lines] {
        assert!(read_by(&noise, FileFormat::default(), 1 << 16).is_err());
        let after_a_head: Vec<u8> = b"time_s,current_a\n".iter().copied().chain(noise).collect();
        assert!(read_by(&after_a_head, FileFormat::default(), 1 << 16).is_err());
    }
}

proptest! {
    /// However the bytes arrive, and whatever ends the lines, the log is the same to the last bit.
    #[test]
    fn pieces_change_nothing(rows in 2_usize..9000, piece in 1_usize..70_000, windows in any::<bool>()) {
        let end = if windows { "\r\n" } else { "\n" };
        let mut text = format!("time_s,current_a,cell_1_v{end}");
        for k in 0..rows {
            text += &format!("{k},{:.3},{:.4}{end}", 20.0 + (k as f64).sin(), 3.3 - 1e-5 * k as f64);
        }
        let whole = read(&text).unwrap();
        let split = read_by(text.as_bytes(), FileFormat::default(), piece).unwrap();
        prop_assert_eq!(&whole, &split);
        prop_assert_eq!(whole.log.care.rows, rows as u64);
        prop_assert!(whole.log.charge.si() > 0.0);
    }

    /// Any bytes at all: an answer or an error, never a panic.
    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400), head in any::<bool>()) {
        let head: &[u8] = if head { b"time_s;current_a;cell_1_v\n" } else { b"" };
        let text: Vec<u8> = head.iter().copied().chain(bytes).collect();
        let _ = read_by(&text, FileFormat::default(), 64);
    }
}
