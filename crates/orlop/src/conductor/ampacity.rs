//! The continuous current a rule set allows a conductor.
//!
//! I = I_table x f_place x f_bundle. The place factor is the *smaller* of the rule set's engine-space factor and,
//! where the ambient temperature is known, sqrt((Tr - Ta)/(Tr - 30 degC)); never their product and never
//! above one. Tr is the insulation's rating, at most that of the table column used.
//!
//! * An insulation between two columns uses the next lower column.
//! * A size without a row of its own takes the next larger row, scaled down by area (never up). Just above a row
//!   of the table this gives less than that row: on the safe side, and still ascending over the sizes of one series
//!   that are sold.
//! * An SAE gauge uses the row of its number.
//! * Aluminium has no ampacity in either rule set.

use super::heat::air_temperature;
use super::size::{area, equivalent_area_order};
use super::{Conductor, Material, SpaceKind};
use crate::error::Error;
use crate::rules::{Bundling, RuleOptions, RuleSetId};
use crate::source::{Citation, Confidence};
use crate::tables::ampacity::{AmpacityTable, REFERENCE_AMBIENT, ampacity_table};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{ConductorSize, Current, Quantity, Temperature, amperes, show};

pub(crate) static SQUARE_ROOT_LAW: Citation = Citation::fixed(
    "iec60364-5-52-ambient",
    "IEC 60364-5-52",
    "",
    "Table B.52.14 and annex",
    "ambient factor sqrt((Tr - Ta)/(Tr - Tref)), never above 1 here",
    Confidence::Published,
    "the law reproduces five published tables of factors to two digits",
);
pub(crate) static AREA_SCALING: Citation = Citation::fixed(
    "ampacity-area-scaling",
    "North American voluntary small-craft standard E-11",
    "",
    "note to the ampacity tables",
    "a conductor of another area: ampacity scaled by area",
    Confidence::CommonPractice,
    "one quotation",
);

/// What is asked about a conductor's ampacity.
#[derive(Clone, Debug, PartialEq)]
pub struct AmpacityQuestion {
    /// The rule set; there is no default.
    pub rules: RuleSetId,
    /// Its switches.
    pub options: RuleOptions,
    /// Whether the engine-space factors apply.
    pub space: SpaceKind,
    /// Current-carrying conductors lying together, this one included; a pair is 2.
    pub bundled: u32,
    /// The air around, where it is known.
    pub ambient: Option<Temperature>,
}

/// The continuous current a rule set allows, with everything that went into it.
#[derive(Clone, Debug, PartialEq)]
pub struct Ampacity {
    /// Current of the table, scaled by area where the size has no row.
    pub table: Current,
    /// The smaller of `rule_factor` and `ambient_factor`.
    pub place_factor: f64,
    /// The rule set's factor for the space.
    pub rule_factor: f64,
    /// The square-root law, not above one, where an ambient is known or assumed.
    pub ambient_factor: Option<f64>,
    /// The factor for the bundle.
    pub bundle_factor: f64,
    /// Corrected ampacity: `table` x `place_factor` x `bundle_factor`, unrounded.
    pub current: Current,
    /// The weakest source it rests on.
    pub confidence: Confidence,
    /// Table and notes used.
    pub clause: String,
    /// What a reader must know.
    pub flags: Vec<String>,
}

/// Ambient temperature that the ISO note on engine spaces speaks of, degC. From memory.
const ISO_ENGINE_AMBIENT: f64 = 60.0;

impl Conductor {
    /// Continuous current this conductor may carry under a rule set.
    ///
    /// See the [module](self) for formula and rules.
    ///
    /// # Errors
    /// [`Error::OutOfTable`] for aluminium, insulation below 60 degC, or a size beyond the table;
    /// [`Error::NoSolution`] when the ambient is not below the insulation's rating;
    /// [`Error::Input`] for a bundle of none or an ambient that is no temperature.
    ///
    /// ```
    /// use orlop::conductor::{AmpacityQuestion, Conductor, Material, SpaceKind};
    /// use orlop::rules::{RuleOptions, RuleSetId};
    /// use orlop::units::{ConductorSize, Quantity, Temperature};
    /// let wire = Conductor::new(ConductorSize::Awg(14), Temperature::celsius(105.0), Material::Copper, true)?;
    /// let question = AmpacityQuestion {
    ///     rules: RuleSetId::UsSmallCraft,
    ///     options: RuleOptions::default(),
    ///     space: SpaceKind::Engine,
    ///     bundled: 3,
    ///     ambient: None,
    /// };
    /// let answer = wire.ampacity(&question)?;
    /// assert!((answer.current.out() - 35.0 * 0.85 * 0.70).abs() < 1e-9);
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn ampacity(&self, q: &AmpacityQuestion) -> Result<Ampacity, Error> {
        self.ampacity_recorded(q, &mut Silent)
    }

    /// The same with its steps.
    ///
    /// # Errors
    /// As [`Conductor::ampacity`].
    pub fn ampacity_recorded(
        &self,
        q: &AmpacityQuestion,
        rec: &mut impl Recorder,
    ) -> Result<Ampacity, Error> {
        let table = ampacity_table(q.rules);
        if self.material() == Material::Aluminium {
            return Err(Error::OutOfTable {
                table: table.source.citation.short(),
                asked: format!("no ampacity for aluminium under {}", q.rules.word()),
                range: "copper only".into(),
                hint: "use copper; the heat balance of an aluminium conductor can still be computed".into(),
            });
        }
        if q.bundled == 0 {
            return Err(Error::input("bundled", "0", "1 or more conductors, this one included"));
        }
        let mut flags = Vec::new();
        let mut confidence = table.source.citation.confidence;
        if confidence == Confidence::Memory {
            flags.push(format!(
                "{} is from memory: check it before relying on it",
                table.source.citation.document
            ));
        }
        let column_at = self.column(table, &mut flags)?;
        let column = table.columns[column_at];
        let rating = self.insulation().min(Temperature::celsius(column.to));

        let (row_current, scale) = self.row(table, column_at)?;
        let table_current = amperes(row_current.0 * scale);
        rec.step(|| {
            Step::new("current of the table", "I_t", amperes(row_current.0))
                .formula(format!("row {}, column {} degC", row_current.1, column.from))
                .input("insulation", self.insulation())
                .source(&table.source.citation)
        });
        if scale < 1.0 {
            confidence = confidence.weaker(AREA_SCALING.confidence);
            flags.push(format!(
                "{}: no row of its own, scaled down by area from {}",
                self.size(),
                row_current.1
            ));
            rec.step(|| {
                Step::new("scaled to this area", "I_t", table_current)
                    .formula("I_row A / A_row")
                    .input("I_row", amperes(row_current.0))
                    .input("A", self.area())
                    .input("A_row", area(row_current.1))
                    .source(&AREA_SCALING)
            });
        }

        let mut clause = table.source.citation.short();
        let rule_factor = match q.space {
            SpaceKind::Outside => 1.0,
            SpaceKind::Engine => {
                let factor = column.engine.ok_or_else(|| Error::OutOfTable {
                    table: table.engine_source.citation.short(),
                    asked: format!("insulation of {} in an engine space", show(self.insulation())),
                    range: "70 degC and above".into(),
                    hint: "use a higher insulation rating".into(),
                })?;
                clause += &format!("; {}", table.engine_source.citation.place);
                rec.step(|| {
                    Step::new("factor for the engine space", "f_space", factor)
                        .input("column", Temperature::celsius(column.from))
                        .source(&table.engine_source.citation)
                });
                factor
            }
        };
        let ambient = match (q.ambient, q.space, q.rules) {
            (None, SpaceKind::Engine, RuleSetId::IsoSmallCraft) => {
                flags.push(
                    "no ambient stated: the engine-space factor is checked at the 60 degC its note speaks of"
                        .into(),
                );
                Some(Temperature::celsius(ISO_ENGINE_AMBIENT))
            }
            (stated, _, _) => stated,
        };
        let ambient_factor = ambient
            .map(|a| ambient_factor(rating, a, Temperature::celsius(REFERENCE_AMBIENT)).map(|f| f.min(1.0)))
            .transpose()?;
        let place_factor = ambient_factor.map_or(rule_factor, |f| f.min(rule_factor));
        if let (Some(ambient), Some(factor)) = (ambient, ambient_factor) {
            rec.step(|| {
                Step::new("factor for the ambient", "f_ambient", factor)
                    .formula("sqrt((Tr - Ta)/(Tr - Tref)), at most 1")
                    .input("Tr", rating)
                    .input("Ta", ambient)
                    .input("Tref", Temperature::celsius(REFERENCE_AMBIENT))
                    .source(&SQUARE_ROOT_LAW)
            });
            rec.step(|| {
                Step::new("factor for the place", "f_place", place_factor)
                    .formula("the smaller of f_space and f_ambient; they are never multiplied")
                    .input("f_space", rule_factor)
                    .input("f_ambient", factor)
            });
            if factor < rule_factor {
                flags.push(format!(
                    "the ambient of {} governs: factor {:.2} instead of {rule_factor:.2}",
                    show(ambient),
                    factor
                ));
            }
        }

        let bundle_factor = match q.options.bundling {
            Bundling::Practice => table.bundle_factor(q.bundled),
            Bundling::Off => {
                if table.bundle_factor(q.bundled) < 1.0 {
                    flags.push(format!(
                        "bundling factor for {} conductors switched off; see the heat balance",
                        q.bundled
                    ));
                }
                1.0
            }
        };
        if bundle_factor < 1.0 {
            confidence = confidence.weaker(Confidence::CommonPractice);
            clause += &format!("; {}", table.bundle_source.citation.place);
            if q.rules == RuleSetId::UsSmallCraft {
                flags.push(
                    "bundling factor is common practice: below 50 V the federal note does not bind".into(),
                );
            }
        }
        rec.step(|| {
            let step = Step::new("factor for the bundle", "f_bundle", bundle_factor)
                .formula(format!("{} current-carrying conductors together", q.bundled));
            if bundle_factor == 1.0 {
                return step;
            }
            step.source(&Citation { confidence, ..table.bundle_source.citation.clone() })
        });

        let current = table_current * place_factor * bundle_factor;
        rec.step(|| {
            Step::new("corrected ampacity", "I_z", current)
                .formula("I_t f_place f_bundle")
                .input("I_t", table_current)
                .input("f_place", place_factor)
                .input("f_bundle", bundle_factor)
        });
        Ok(Ampacity {
            table: table_current,
            place_factor,
            rule_factor,
            ambient_factor,
            bundle_factor,
            current,
            confidence,
            clause,
            flags,
        })
    }

    fn column(&self, table: &AmpacityTable, flags: &mut Vec<String>) -> Result<usize, Error> {
        let insulation = self.insulation().degrees_celsius();
        let lowest = table.columns[0].from;
        let at = table.column(insulation).ok_or_else(|| Error::OutOfTable {
            table: table.source.citation.short(),
            asked: format!("insulation of {}", show(self.insulation())),
            range: format!("{lowest} degC and above"),
            hint: "use a higher insulation rating".into(),
        })?;
        let column = table.columns[at];
        if insulation > column.to {
            flags.push(format!(
                "insulation of {} has no column of its own: the {} degC column is used",
                show(self.insulation()),
                column.to
            ));
        }
        Ok(at)
    }

    /// The row's current and size, and the share of its area this conductor has.
    fn row(&self, table: &AmpacityTable, column: usize) -> Result<((f64, ConductorSize), f64), Error> {
        let wanted = match (self.size(), table.rows().next()) {
            (ConductorSize::Sae(gauge), Some((ConductorSize::Awg(_), _))) => ConductorSize::Awg(gauge),
            (size, _) => size,
        };
        let found = table.rows().find(|(size, _)| equivalent_area_order(size, &wanted).is_ge());
        if let Some((size, cells)) = found {
            let scale = if size == wanted { 1.0 } else { self.area().si() / area(size).si() };
            if scale >= SMALLEST_SCALE {
                return Ok(((cells[column], size), scale.min(1.0)));
            }
        }
        let rows: Vec<_> = table.rows().map(|(size, _)| size).collect();
        Err(Error::OutOfTable {
            table: table.source.citation.short(),
            asked: self.size().to_string(),
            range: format!("{} to {}", rows[0], rows[rows.len() - 1]),
            hint: "use a size within the table, or conductors in parallel with a device each".into(),
        })
    }
}

/// A size below half the area of the row it would be scaled from is outside the table.
const SMALLEST_SCALE: f64 = 0.5;

/// Factor on a current for another ambient: sqrt((Tr - Ta)/(Tr - Tref)), above one where it is colder.
///
/// `rating` is the temperature the conductor may reach, `reference` the ambient its current was given for. The
/// ampacity of a conductor never uses more than one.
///
/// # Errors
/// [`Error::NoSolution`] when ambient or reference is not below the rating; [`Error::Input`] for what is no temperature.
///
/// ```
/// use orlop::{conductor::ampacity::ambient_factor, units::Temperature};
/// let t = Temperature::celsius;
/// assert!((ambient_factor(t(90.0), t(50.0), t(30.0))? - 0.82).abs() < 0.005); // IEC 60364-5-52
/// # Ok::<(), orlop::Error>(())
/// ```
pub fn ambient_factor(
    rating: Temperature,
    ambient: Temperature,
    reference: Temperature,
) -> Result<f64, Error> {
    let (air, reference) = (air_temperature(ambient)?, air_temperature(reference)?);
    let tr = air_temperature(rating)?;
    if air >= tr || reference >= tr {
        return Err(Error::NoSolution {
            what: format!(
                "no current at all: the ambient of {} is not below the {} that the ampacity is for",
                show(ambient),
                show(rating)
            ),
            hint: "use a higher insulation rating or a cooler run".into(),
        });
    }
    Ok(((tr - air) / (tr - reference)).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn wire(size: ConductorSize, insulation: f64) -> Conductor {
        Conductor::new(size, Temperature::celsius(insulation), Material::Copper, true).unwrap()
    }
    fn ask(rules: RuleSetId, space: SpaceKind, bundled: u32, ambient: Option<f64>) -> AmpacityQuestion {
        AmpacityQuestion {
            rules,
            options: RuleOptions::default(),
            space,
            bundled,
            ambient: ambient.map(Temperature::celsius),
        }
    }
    const US: RuleSetId = RuleSetId::UsSmallCraft;
    const ISO: RuleSetId = RuleSetId::IsoSmallCraft;

    #[test]
    fn rule_factor_and_ambient_factor_are_never_multiplied() {
        let q = ask(US, SpaceKind::Engine, 1, Some(60.0));
        let answer = wire(ConductorSize::Awg(6), 105.0).ampacity(&q).unwrap();
        assert_relative_eq!(answer.rule_factor, 0.85);
        assert_relative_eq!(answer.place_factor, (45.0_f64 / 75.0).sqrt());
        assert_relative_eq!(answer.current.si(), 120.0 * (0.6_f64).sqrt(), max_relative = 1e-12);
        // A cool engine space still takes the rule's factor; a cold one never rises above it.
        for cool in [20.0, -10.0] {
            let q = ask(US, SpaceKind::Engine, 1, Some(cool));
            assert_relative_eq!(wire(ConductorSize::Awg(6), 105.0).ampacity(&q).unwrap().place_factor, 0.85);
        }
    }

    #[test]
    fn iso_engine_factor_is_never_unchecked_at_sixty_degrees() {
        let answer =
            wire(ConductorSize::Metric(1600), 105.0).ampacity(&ask(ISO, SpaceKind::Engine, 1, None)).unwrap();
        assert_relative_eq!(answer.place_factor, (0.6_f64).sqrt());
        assert_relative_eq!(answer.rule_factor, 0.86);
        assert_eq!(answer.confidence, Confidence::Memory);
        let low = wire(ConductorSize::Metric(1600), 60.0).ampacity(&ask(ISO, SpaceKind::Engine, 1, None));
        assert_eq!(low.unwrap_err().code(), "out-of-table");
    }

    #[test]
    fn sizes_without_a_row_scale_down_and_say_so() {
        let q = ask(US, SpaceKind::Outside, 1, None);
        let metric = wire(ConductorSize::Metric(1600), 105.0).ampacity(&q).unwrap();
        // 16 mm2 lies below 4 AWG (21.15 mm2, 160 A).
        assert_relative_eq!(metric.table.si(), 160.0 * 16.0 / 21.150_6, max_relative = 1e-5);
        assert!(metric.flags.iter().any(|f| f.contains("scaled down by area from 4 AWG")));
        assert_eq!(metric.confidence, Confidence::CommonPractice);
        let five = wire(ConductorSize::Awg(5), 105.0).ampacity(&q).unwrap();
        assert_relative_eq!(five.table.si(), 160.0 * 16.773_2 / 21.150_6, max_relative = 1e-5);
        assert_eq!(wire(ConductorSize::Sae(6), 105.0).ampacity(&q).unwrap().table, amperes(120.0));
        for outside in [ConductorSize::Metric(12000), ConductorSize::Awg(24)] {
            assert_eq!(wire(outside, 105.0).ampacity(&q).unwrap_err().code(), "out-of-table");
        }
        let iso = ask(ISO, SpaceKind::Outside, 1, None);
        let gauge = wire(ConductorSize::Awg(-3), 105.0).ampacity(&iso).unwrap();
        assert_relative_eq!(gauge.table.si(), 450.0 * 107.219_3 / 120.0, max_relative = 1e-5);
    }

    #[test]
    fn insulation_between_columns_and_beyond_them() {
        let q = ask(US, SpaceKind::Outside, 1, None);
        let answer = wire(ConductorSize::Awg(10), 95.0).ampacity(&q).unwrap();
        assert_eq!(answer.table, amperes(55.0));
        assert!(answer.flags[0].contains("90 degC column"));
        assert_eq!(wire(ConductorSize::Awg(10), 59.0).ampacity(&q).unwrap_err().code(), "out-of-table");
        assert_eq!(wire(ConductorSize::Awg(10), 250.0).ampacity(&q).unwrap().table, amperes(70.0));
    }

    #[test]
    fn aluminium_and_hot_air_have_no_number() {
        let aluminium = Conductor::new(
            ConductorSize::Metric(3500),
            Temperature::celsius(90.0),
            Material::Aluminium,
            false,
        )
        .unwrap();
        let error = aluminium.ampacity(&ask(US, SpaceKind::Outside, 1, None)).unwrap_err();
        assert!(error.to_string().contains("no ampacity for aluminium under us-small-craft"), "{error}");
        let hot = wire(ConductorSize::Awg(6), 75.0).ampacity(&ask(US, SpaceKind::Outside, 1, Some(75.0)));
        assert_eq!(hot.unwrap_err().code(), "no-solution");
        let not = wire(ConductorSize::Awg(6), 75.0).ampacity(&ask(US, SpaceKind::Outside, 1, Some(f64::NAN)));
        assert_eq!(not.unwrap_err().code(), "input");
        let none = wire(ConductorSize::Awg(6), 75.0).ampacity(&ask(US, SpaceKind::Outside, 0, None));
        assert_eq!(none.unwrap_err().code(), "input");
    }

    #[test]
    fn bundling_is_a_switch_marked_common_practice() {
        let mut q = ask(US, SpaceKind::Outside, 4, None);
        let on = wire(ConductorSize::Awg(10), 105.0).ampacity(&q).unwrap();
        assert_eq!((on.bundle_factor, on.confidence), (0.6, Confidence::CommonPractice));
        q.options.bundling = Bundling::Off;
        let off = wire(ConductorSize::Awg(10), 105.0).ampacity(&q).unwrap();
        assert_eq!((off.bundle_factor, off.confidence), (1.0, Confidence::Published));
        assert!(off.flags.iter().any(|f| f.contains("switched off")));
    }
}
