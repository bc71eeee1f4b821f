//! `strip`: one strip of evenly spaced marks, from flags alone.

use std::path::{Path, PathBuf};

use clap::Args;
use cockpit_cards::book::{self, Level, Problem};
use cockpit_cards::cards::{self, Edition, Label};
use cockpit_cards::door;
use cockpit_cards::drawing::Drawing;
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::output::write::write_all;
use cockpit_cards::output::{pdf, png, svg};
use cockpit_cards::paper::{Heading, Piece, PrintJob};

use super::print_flags::PrintFlags;
use super::{Outcome, complain_in_words, machine_failed, refuse, say_done};

#[derive(Args)]
pub struct Strip {
    /// The first and the last mark
    #[arg(long, value_name = "FIRST..LAST", allow_hyphen_values = true)]
    marks: String,
    /// The control's own travel from mark to mark: 20mm, `3/4 in`
    #[arg(long)]
    spacing: String,
    /// Mark the halves
    #[arg(long)]
    halves: bool,
    /// Mark the quarters
    #[arg(long)]
    quarters: bool,
    /// How far the marked tail moves for one of the control
    #[arg(long)]
    purchase: Option<String>,
    /// What it is a scale of
    #[arg(long, default_value = "Scale")]
    title: String,
    /// The boat's name
    #[arg(long)]
    boat: Option<String>,
    /// What a higher number does: tighter, aft
    #[arg(long)]
    higher_is: Option<String>,
    /// The way the numbers grow on the boat: forward, aft, outboard, inboard, port, starboard, up, down
    #[arg(long)]
    grows: Option<String>,
    /// Where the reader stands: inboard, outboard, aft, forward
    #[arg(long)]
    reader_stands: Option<String>,
    /// The edge the pointer runs along: far, near, left, right, inboard, outboard
    #[arg(long)]
    ticks: Option<String>,
    /// The side of the boat: port, starboard
    #[arg(long)]
    side: Option<String>,
    /// What is read against the strip: `forward edge of the car`
    #[arg(long)]
    pointer: Option<String>,
    /// Of a curved track, along the edge the pointer runs along: 2.4m
    #[arg(long)]
    radius: Option<String>,
    /// The edge that looks toward the middle of the curve: far, near, left, right
    #[arg(long, requires = "radius")]
    middle: Option<String>,
    #[arg(long)]
    width: Option<String>,
    #[arg(long)]
    reading_distance: Option<String>,
    #[command(flatten)]
    print: PrintFlags,
    /// The file to write: .pdf, .svg or .png
    #[arg(short, long, alias = "out", value_name = "FILE")]
    output: PathBuf,
}

impl Strip {
    pub fn run(self) -> Outcome {
        self.print().unwrap_or_else(|outcome| outcome)
    }

    fn print(self) -> Result<Outcome, Outcome> {
        // A strip has no back.
        let job = self.print.asked()?.without_book()?.job;
        let (mut label, card) = self.card().map_err(|problems| refuse_all(&problems))?;
        // A picture has no page that its words could make it too long for.
        if self.output.extension().is_some_and(|extension| extension == "pdf") {
            label.sizes = label.sizes.with_measured(job.measured_room(heading(&card.title)));
        }
        let mut problems = Vec::new();
        let Some(drawing) = cards::draw(&card, &label, &mut problems) else { return Err(refuse_all(&problems)) };
        if problems.iter().any(|problem| problem.level == Level::Error) {
            return Err(refuse_all(&problems));
        }
        let bytes = match self.output.extension().and_then(|extension| extension.to_str()) {
            Some("pdf") => as_pdf(&card.title, &drawing, &job),
            Some("svg") => Ok(svg::svg(&drawing, svg::Options::default()).into_bytes()),
            Some("png") => png::png(&drawing, png::most_dots_per_inch(drawing.size))
                .map_err(|error| machine_failed(&self.output.display().to_string(), &error)),
            _ => Err(refuse(
                &format!("-o {}: no kind of file this program writes", self.output.display()),
                "end its name in .pdf, .svg or .png",
            )),
        }?;
        let folder = self.output.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let Some(name) = self.output.file_name() else {
            return Err(refuse("-o names no file", "name one, like -o outhaul.pdf"));
        };
        write_all(folder, &[(Path::new(name), bytes)])
            .map_err(|error| machine_failed("nothing was written", &error))?;
        complain_in_words(&warnings(&problems));
        let left = job.correction.map(|correction| format!("{}\n", correction.words())).unwrap_or_default();
        Ok(say_done(&format!(
            "wrote {}: {} by {} mm\n{left}",
            self.output.display(),
            tenths(drawing.size.width),
            tenths(drawing.size.height),
        )))
    }

    /// The flags as the one control of a book, so that they are read and refused in the same words.
    fn card(&self) -> Result<(Label, cards::Card), Vec<Problem>> {
        let quoted = |text: &str| serde_json::Value::String(text.to_owned()).to_string();
        let field = |name: &str, value: &Option<String>| {
            value.as_ref().map(|value| format!("{name}: {}, ", quoted(value))).unwrap_or_default()
        };
        let boat = self.boat.as_deref().unwrap_or("no boat");
        let text = format!(
            "book: 1\nboat: {{name: {}}}\ncontrols:\n  scale:\n    name: {}\n    {}\n    scale: {{marks: {}, spacing: {}, halves: {}, quarters: {}, {}}}\n    strip: {{{}}}\n",
            quoted(boat),
            quoted(&self.title),
            self.higher_is.as_ref().map(|higher| format!("higher_is: {}", quoted(higher))).unwrap_or_default(),
            quoted(&self.marks),
            quoted(&self.spacing),
            self.halves,
            self.quarters,
            field("purchase", &self.purchase),
            [
                field("grows", &self.grows),
                field("reader_stands", &self.reader_stands),
                field("ticks", &self.ticks),
                field("sides", &self.side),
                field("pointer", &self.pointer),
                field("width", &self.width),
                field("reading_distance", &self.reading_distance),
                match self.radius {
                    Some(_) => {
                        format!("arc: {{{}{}}}, ", field("radius", &self.radius), field("middle", &self.middle))
                    }
                    None => String::new(),
                },
            ]
            .concat(),
        );
        let loaded = book::from_text("flags", &text, &|_| None, has_glyph);
        let passed = door::through(loaded, |book, problems| cards::cards(book, problems).into_iter().next());
        let card = passed.made.ok_or(passed.problems)?;
        let boat = self.boat.clone().unwrap_or_default();
        Ok((Label { boat, stamp: card.stamp.clone(), edition: Edition::Loose, ..Label::default() }, card))
    }
}

fn as_pdf(title: &str, drawing: &Drawing, job: &PrintJob) -> Result<Vec<u8>, Outcome> {
    let heading = heading(title);
    let tiles = job.cut(drawing, heading);
    let mut pieces: Vec<Piece> = match tiles.as_slice() {
        [] => vec![Piece::new("strip", drawing)],
        tiles => tiles.iter().map(|tile| Piece::new("strip", &tile.drawing)).collect(),
    };
    pieces.extend(drawing.apart.iter().map(|label| Piece::new("strip", label)));
    let layout = job.lay_out(&pieces, heading).map_err(|misfits| {
        let words = misfits.first().map(|misfit| (misfit.what(), misfit.instead())).unwrap_or_default();
        refuse(&words.0, &words.1)
    })?;
    let options = pdf::Options { title, subject: "A deck scale, true to length", ..pdf::Options::default() };
    pdf::pdf(&layout.pages, &options).map_err(|error| machine_failed("the PDF could not be made", &error))
}

fn heading(title: &str) -> Heading<'_> {
    Heading { title, note: "Print at 100 % on polyester film: paper swells with damp." }
}

/// The places of these problems are in a text nobody wrote; the words are about the flags.
fn refuse_all(problems: &[Problem]) -> Outcome {
    for problem in problems.iter().filter(|problem| problem.level == Level::Error) {
        // The control's id is ours, not the user's.
        refuse(&problem.what.replace(" of control \"scale\"", ""), &problem.instead);
    }
    Outcome::BadBook
}

fn tenths(millimetres: f64) -> f64 {
    (millimetres * 10.0).round() / 10.0
}

fn warnings(problems: &[Problem]) -> String {
    problems.iter().map(|problem| format!("warning: {}\n  help: {}\n", problem.what, problem.instead)).collect()
}
