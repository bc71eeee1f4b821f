//! What a printer does to lengths, as measured once with a rule, and how a page undoes it. Pure: reads and writes no
//! file, and does not know what is printed.

use kurbo::{Affine, Size, Vec2};
use serde::{Deserialize, Serialize};

use super::PaperSize;
use crate::date;
use crate::drawing::font::has_glyph;
pub use crate::flip::Flip;
use crate::length::Length;
use crate::size::SLACK_MM;
use crate::wrong::{Wrong, shown};

/// A printer's own error is less than this; more is the print dialogue's scaling, a slip of the rule, or a fault.
const MOST_ERROR: f64 = 0.015;
/// Two readings are of one scaling when they differ by less than this: twice a printer's error would be rare.
const ALIKE: f64 = 0.012;
/// How near a known scaling a measured one must lie to be named, beside the printer's own error.
const NAMED_WITHIN: f64 = 0.012;
/// A reading this near the other axis's length was read off the other axis.
const SWAPPED_WITHIN: f64 = 0.04;
/// Rims that "fit to page" keeps clear, millimetres: those of most desktop printers (common practice).
const DIALOGUE_RIMS_MM: [f64; 2] = [4.23, 6.35];
/// What a rule is read to: finer is not believed, coarser is no use for marks.
const RULE_STEPS_MM: std::ops::RangeInclusive<f64> = 0.02..=2.0;
/// Characters of a printer's name: it is printed on every page.
pub const NAME_CHARACTERS: std::ops::RangeInclusive<usize> = 1..=40;
/// How far the second side of a sheet may be off, millimetres; beyond it a page would leave the paper's rim.
const MOST_SHIFT_MM: f64 = 5.0;
/// What is left besides the rule: a dot of 600 to the inch and the width of the eye's guess, millimetres.
const DOT_MM: f64 = 0.05;
/// Uncertainties are stated to this, rounded up, millimetres.
const STATED_STEPS_PER_MM: f64 = 10.0;
const PER_CENT: f64 = 100.0;
const MM_PER_CM: f64 = 10.0;

/// What is known of the printer, and how it turns the paper over.
#[derive(Clone, Copy, Debug, Default)]
pub struct Printer<'a> {
    /// Undoes its error.
    pub correction: Option<&'a Correction>,
    /// Only where something has a back.
    pub flip: Flip,
}

/// Which edge of the paper goes into the printer first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Feed {
    /// As desktop printers take it: the paper runs along its long side.
    #[default]
    ShortEdge,
    /// The paper runs along its short side.
    LongEdge,
}

impl Feed {
    /// Whether paper of this size runs along its height. The paper of a roll always does.
    ///
    /// ```
    /// use cockpit_cards::paper::printer::Feed;
    /// use kurbo::Size;
    ///
    /// // The feed stays with the paper: on a page lying on its side it runs across the page.
    /// assert!(Feed::ShortEdge.runs_up(Size::new(210.0, 297.0)));
    /// assert!(!Feed::ShortEdge.runs_up(Size::new(297.0, 210.0)));
    /// ```
    pub fn runs_up(self, page: Size) -> bool {
        (page.height >= page.width) == (self == Feed::ShortEdge)
    }

    fn runs_up_on(self, paper: &PaperSize) -> bool {
        paper.is_roll() || self.runs_up(paper.size())
    }

    /// As people say it.
    pub const fn words(self) -> &'static str {
        match self {
            Feed::ShortEdge => "short edge first",
            Feed::LongEdge => "long edge first",
        }
    }
}

/// A distance as it should be and as the rule shows it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// The length as it should be, in millimetres.
    pub nominal_mm: f64,
    /// The length as the rule shows it, in millimetres.
    pub measured_mm: f64,
}

impl Measured {
    /// How long the printer makes one millimetre.
    pub fn scale(self) -> f64 {
        self.measured_mm / self.nominal_mm
    }

    /// Half a step of the rule, as a share of what was measured.
    fn doubt(self, rule_step_mm: f64) -> f64 {
        rule_step_mm / 2.0 / self.measured_mm
    }
}

/// How far the printing on the second side landed from where it should, seen on that side of an upright page:
/// millimetres to the right and down.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BackShift {
    /// How far to the right it comes out; to the left is negative.
    pub x_mm: f64,
    /// How far down it comes out; up is negative.
    pub y_mm: f64,
    /// How the sheet was turned when it was measured.
    #[serde(default)]
    pub flip: Flip,
}

/// What was measured of one printer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// What its owner calls the printer.
    pub name: String,
    /// Name of the paper it was measured on.
    pub paper: String,
    /// The way the paper is fed, and so which error runs along which edge.
    #[serde(default)]
    pub feed: Feed,
    /// The length square to the feed.
    pub across: Measured,
    /// The length along the feed.
    pub along: Measured,
    /// What the rule was read to.
    pub rule_step_mm: f64,
    /// How far the back comes out from where it should be, if that was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub back_shift: Option<BackShift>,
    /// The day of the measurement: `2027-04-11`.
    pub date: String,
}

impl Reading {
    /// Whether this can be a printer's own error.
    ///
    /// # Errors
    /// In words about the two readings: swapped, in other units, scaled by a print dialogue, or out of all reason.
    pub fn check(&self) -> Result<(), Wrong> {
        let numbers = [self.across, self.along].into_iter().flat_map(|axis| [axis.nominal_mm, axis.measured_mm]);
        if numbers.chain([self.rule_step_mm]).any(|number| !number.is_finite() || number <= 0.0) {
            return Err(Wrong::new("a length is not more than nothing", "write what the rule shows, like 179.5"));
        }
        let printable = |text: &String| text.chars().all(|letter| !letter.is_control() && has_glyph(letter));
        if ![&self.name, &self.paper, &self.date].into_iter().all(printable) {
            return Err(Wrong::new(
                "its words hold a character that cannot be printed",
                "give the printer another name",
            ));
        }
        if self.name.trim() != self.name || !NAME_CHARACTERS.contains(&self.name.chars().count()) {
            let most = NAME_CHARACTERS.end();
            return Err(Wrong::new(
                format!("{} is no name for a printer", shown(&self.name)),
                format!("use up to {most} letters and digits, like `office`"),
            ));
        }
        date::check(&self.date)?;
        PaperSize::parse(&self.paper)?;
        if !RULE_STEPS_MM.contains(&self.rule_step_mm) {
            return Err(Wrong::new(
                format!("a rule is not read to {} mm", self.rule_step_mm),
                "give the step you can tell apart: 0.5 on a steel rule with half millimetres, 1 on one without",
            ));
        }
        if let Some(shift) = self.back_shift {
            let off = shift.x_mm.abs().max(shift.y_mm.abs());
            // The greater of a number and of none is the number.
            if ![shift.x_mm, shift.y_mm].iter().all(|off| off.is_finite()) || off > MOST_SHIFT_MM {
                return Err(Wrong::new(
                    format!("the second side cannot be {off} mm off: printers shift it by a millimetre or three"),
                    "measure it again on the printer page's back, in millimetres",
                ));
            }
        }
        self.check_scales()
    }

    fn check_scales(&self) -> Result<(), Wrong> {
        let (across, along) = (self.across.scale(), self.along.scale());
        // A printer at the very limit may be read half a step beyond it.
        let off = |axis: Measured| {
            let most = axis.nominal_mm * MOST_ERROR + self.rule_step_mm / 2.0 + SLACK_MM;
            (axis.measured_mm - axis.nominal_mm).abs() > most
        };
        if !off(self.across) && !off(self.along) {
            return Ok(());
        }
        let read = format!(
            "{} mm across and {} mm along, where {} and {} should be",
            self.across.measured_mm, self.along.measured_mm, self.across.nominal_mm, self.along.nominal_mm
        );
        let near = |measured: f64, nominal: f64| (measured / nominal - 1.0).abs() < SWAPPED_WITHIN;
        if near(self.across.measured_mm, self.along.nominal_mm) && near(self.along.measured_mm, self.across.nominal_mm)
        {
            return Err(Wrong::new(
                format!("{read}: the two look swapped"),
                format!("try --across {} --along {}", self.along.measured_mm, self.across.measured_mm),
            ));
        }
        for (unit, millimetres) in [("centimetres", MM_PER_CM), ("inches", crate::length::MM_PER_INCH)] {
            if [across, along].iter().all(|scale| near(scale * millimetres, 1.0)) {
                return Err(Wrong::new(
                    format!("{read}: these look like {unit}"),
                    format!(
                        "give millimetres: --across {:.1} --along {:.1}",
                        self.across.measured_mm * millimetres,
                        self.along.measured_mm * millimetres
                    ),
                ));
            }
        }
        if (across / along - 1.0).abs() < ALIKE {
            let share = (across + along) / 2.0;
            let known = match known_scaling(&self.paper, share) {
                Some(known) => format!(", which is what {known} comes to"),
                None => String::new(),
            };
            return Err(Wrong::new(
                format!(
                    "{read}: that is {:.1} % both ways{known}; this looks like the print dialogue's \"fit to page\"",
                    share * PER_CENT
                ),
                format!(
                    "set actual size, 100 %, and {} as the paper; print the page again and measure that",
                    self.paper
                ),
            ));
        }
        let (axis, measured) = if off(self.across) { ("across", self.across) } else { ("along", self.along) };
        Err(Wrong::new(
            format!(
                "{read}: {axis} the feed that is {:+.1} %, more than a printer's own error of {} % and not the same \
                 both ways; this looks like a slip of the rule, or the print dialogue's \"fill page\"",
                (measured.scale() - 1.0) * PER_CENT,
                MOST_ERROR * PER_CENT
            ),
            "set actual size, 100 %, print the page again, and measure from the middle of one cross to the middle of \
             the other",
        ))
    }

    /// How the printer stretches a page of this paper, across the page and up it; `feed` if it differs from the
    /// reading's.
    pub fn scale_on(&self, paper: &PaperSize, feed: Feed) -> Vec2 {
        let (across, along) = (self.across.scale(), self.along.scale());
        if feed.runs_up_on(paper) { Vec2::new(across, along) } else { Vec2::new(along, across) }
    }

    /// Half the rule's step as a share of what was measured, across the page and up it.
    fn doubt_on(&self, paper: &PaperSize, feed: Feed) -> Vec2 {
        let [across, along] = [self.across, self.along].map(|axis| axis.doubt(self.rule_step_mm));
        if feed.runs_up_on(paper) { Vec2::new(across, along) } else { Vec2::new(along, across) }
    }
}

/// What a printer does to one kind of page, and so what the page must do.
#[derive(Clone, Debug, PartialEq)]
pub struct Correction {
    /// The printer's name, for words on the page.
    pub name: String,
    /// The day it was measured.
    pub date: String,
    page: Size,
    /// How the printer stretches what it prints, across the page and up it.
    pub scale: Vec2,
    doubt: Vec2,
    rule_step_mm: f64,
    /// How far the back lands from where it should, on the upright back, millimetres.
    pub back_shift: Vec2,
}

impl Correction {
    /// The correction of pages of `paper`, fed and turned like this.
    ///
    /// # Errors
    /// The second side was measured with the paper fed the other way: a shift does not tell which way it turns.
    pub fn new(reading: &Reading, paper: &PaperSize, feed: Option<Feed>, flip: Flip) -> Result<Correction, Wrong> {
        let fed = feed.unwrap_or(reading.feed);
        let back_shift = match reading.back_shift {
            Some(_) if fed != reading.feed => {
                return Err(Wrong::new(
                    format!(
                        "the second side of {} was measured {}, and now the paper goes {}",
                        reading.name,
                        reading.feed.words(),
                        fed.words()
                    ),
                    "feed it as it was measured, or measure it fed like this under another name",
                ));
            }
            None => Vec2::ZERO,
            // Between the two flips the driver turns the back by half a turn, and the printer's shift stays.
            Some(shift) if shift.flip == flip => Vec2::new(shift.x_mm, shift.y_mm),
            Some(shift) => Vec2::new(-shift.x_mm, -shift.y_mm),
        };
        Ok(Correction {
            name: reading.name.clone(),
            date: reading.date.clone(),
            page: paper.size(),
            scale: reading.scale_on(paper, fed),
            doubt: reading.doubt_on(paper, fed),
            rule_step_mm: reading.rule_step_mm,
            back_shift,
        })
    }

    /// For a page of the same paper that is not as long, as one cut off a roll.
    pub(super) fn on_page(&self, page: Size) -> Correction {
        Correction { page, ..self.clone() }
    }

    /// From a place on the paper, as it shall be printed, to the place in the file, about the middle of the page.
    pub fn to_file(&self) -> Affine {
        let middle = self.page.to_rect().center().to_vec2();
        Affine::translate(middle)
            * Affine::scale_non_uniform(1.0 / self.scale.x, 1.0 / self.scale.y)
            * Affine::translate(-middle)
    }

    /// The same on the second side, which the printer also moves.
    pub fn back_to_file(&self) -> Affine {
        self.to_file() * Affine::translate(-self.back_shift)
    }

    /// The part of `reach` that can be used, where the file has to be larger than the print.
    pub fn usable(&self, reach: kurbo::Rect) -> kurbo::Rect {
        let middle = self.page.to_rect().center();
        let shrink = Vec2::new(self.scale.x.min(1.0), self.scale.y.min(1.0));
        kurbo::Rect::new(
            middle.x + (reach.x0 - middle.x) * shrink.x,
            middle.y + (reach.y0 - middle.y) * shrink.y,
            middle.x + (reach.x1 - middle.x) * shrink.x,
            middle.y + (reach.y1 - middle.y) * shrink.y,
        )
    }

    /// How far a length across the page may still be off, rounded up to a tenth of a millimetre.
    pub fn left_across(&self, length: Length) -> Length {
        left(length, self.doubt.x)
    }

    /// The same up the page.
    pub fn left_up(&self, length: Length) -> Length {
        left(length, self.doubt.y)
    }

    /// What the correction leaves, in a sentence for the person with the knife.
    pub fn words(&self) -> String {
        /// Lengths that fit most papers; the first is the one people ask about.
        const UP_MM: [f64; 3] = [240.0, 150.0, 100.0];
        const ACROSS_MM: [f64; 3] = [180.0, 120.0, 50.0];
        let room = self.page - Size::new(2.0, 2.0) * super::MARGIN.to_mm();
        let longest = |of: [f64; 3], room: f64| of.into_iter().find(|length| *length <= room).unwrap_or(of[2]);
        let (up, across) = (longest(UP_MM, room.height), longest(ACROSS_MM, room.width));
        format!(
            "Corrected for printer {} as measured {}: {up} mm up the page is good to ± {} mm, {across} mm across to ± {} mm.",
            self.name,
            self.date,
            self.left_up(Length::mm(up)).to_mm(),
            self.left_across(Length::mm(across)).to_mm(),
        )
    }

    /// The step of the rule that the printer was measured with.
    pub fn rule_step(&self) -> Length {
        Length::mm(self.rule_step_mm)
    }
}

fn left(length: Length, doubt: f64) -> Length {
    let exact = length.to_mm() * doubt + DOT_MM;
    // Steps of tenths that are whole but for rounding stay as they are.
    Length::mm(((exact * STATED_STEPS_PER_MM) - SLACK_MM).ceil() / STATED_STEPS_PER_MM)
}

/// The scaling of a print dialogue that comes to this share, by name.
fn known_scaling(paper: &str, share: f64) -> Option<String> {
    let own = PaperSize::parse(paper).ok()?.size();
    let fitted = |own: Size, room: Size| (room.width / own.width).min(room.height / own.height);
    let mut known = vec![];
    for [from, to] in [["A4", "Letter"], ["Letter", "A4"], ["A4", "A5"], ["A5", "A4"], ["A4", "A3"], ["A3", "A4"]] {
        let (Ok(from_size), Ok(to_size)) = (PaperSize::parse(from), PaperSize::parse(to)) else { continue };
        if from_size.size() == own {
            known.push((fitted(own, to_size.size()), format!("a page of {from} fitted onto {to}")));
        }
        // The reverse: the file was made for the other paper, and this one is in the tray.
        if to_size.size() == own {
            known.push((fitted(from_size.size(), own), format!("a page of {from} fitted onto {to}")));
        }
    }
    for rim in DIALOGUE_RIMS_MM {
        let room = own - Size::new(2.0 * rim, 2.0 * rim);
        known.push((fitted(own, room), format!("a page of {paper} fitted into the printer's own margins")));
    }
    let nearest = known.into_iter().min_by(|a, b| (a.0 - share).abs().total_cmp(&(b.0 - share).abs()))?;
    ((nearest.0 / share - 1.0).abs() < NAMED_WITHIN)
        .then(|| format!("{} (about {:.0} %)", nearest.1, nearest.0 * PER_CENT))
}
