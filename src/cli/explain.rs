//! `explain`: the working behind a card, in the terminal: what went in and from where, by which formula, what came out.

use clap::Args;
use cockpit_cards::book::report::Lookup;
use cockpit_cards::book::suggest;
use cockpit_cards::cards::parts::working::{Line, Passage};
use cockpit_cards::cards::{self, Card};
use cockpit_cards::door::{self, Passed};
use serde_json::{Value, json};

use super::chosen::{ChosenBook, Usage};
use super::{Outcome, complain, headed, refuse, refused, say, say_json};

const USAGE: Usage = Usage { before: "explain CARD", after: "", has_example: true };

#[derive(Args)]
pub struct Explain {
    /// The id of a card, or a kind: all the cards of that kind
    card: String,
    #[command(flatten)]
    book: ChosenBook,
    /// Only what is worked out for something of that name, such as a control
    #[arg(long, value_name = "WORDS")]
    about: Option<String>,
    /// A JSON list of {id, kind, title, stamp, working} on standard output
    #[arg(long)]
    json: bool,
}

impl Explain {
    pub fn run(self) -> Outcome {
        let opened = match self.book.open(USAGE) {
            Ok(opened) => opened,
            Err(outcome) => return outcome,
        };
        let Passed { made, mut problems, sources } =
            door::through(opened.loaded, |book, problems| Some((book.clone(), cards::cards(book, problems))));
        complain(&mut problems, &sources);
        let Some((book, all)) = made else { return refused(&problems, &opened.name) };
        let sides = || all.iter().flat_map(Card::sides);
        let chosen: Vec<&Card> = sides().filter(|card| card.id == self.card || card.kind == self.card).collect();
        if chosen.is_empty() {
            let ids = sides().map(|card| card.id.as_str()).collect::<Vec<_>>();
            return refuse(&format!("there is no card `{}`", self.card), &suggest::advice(&self.card, ids));
        }
        let lookup = Lookup::new(&sources);
        if self.json {
            let list: Vec<Value> = chosen.iter().map(|card| self.as_json(card, &lookup)).collect();
            return say_json(&Value::Array(list));
        }
        let texts: Vec<String> = chosen.iter().map(|card| self.as_text(card, &lookup)).collect();
        say(&format!("{}{}", headed(&book, &opened.name), texts.join("\n")))
    }

    fn passages(&self, card: &Card) -> Vec<Passage> {
        let mut passages = card.content.working();
        if let Some(about) = &self.about {
            let about = about.to_lowercase();
            passages.retain(|passage| passage.of.to_lowercase().contains(&about));
        }
        passages
    }

    fn as_text(&self, card: &Card, lookup: &Lookup<'_>) -> String {
        let mut text = format!("{}  ({}, {}, {})\n", card.title, card.kind, card.id, card.stamp);
        let passages = self.passages(card);
        if passages.is_empty() {
            let place = lookup.words(&card.place).unwrap_or_default();
            let why = match &self.about {
                Some(about) => format!("nothing is worked out for \"{about}\""),
                None => format!("nothing is reckoned here: it says what stands in the book, {place}"),
            };
            text.push_str(&format!("\n  {why}\n"));
        }
        for passage in passages {
            text.push_str(&format!("\n  {}\n", passage.of));
            let widest = |part: fn(&Line) -> &str| passage.lines.iter().map(|line| part(line).chars().count()).max();
            let (finds, value) = (widest(|line| &line.finds), widest(|line| &line.value));
            let (finds, value) = (finds.unwrap_or_default(), value.unwrap_or_default());
            for line in &passage.lines {
                let place = line.place.as_ref().and_then(|place| lookup.words(place));
                let how = place.unwrap_or_else(|| line.how.clone());
                let row = format!("    {:<finds$}  {:<value$}  {how}", line.finds, line.value);
                text.push_str(row.trim_end());
                text.push('\n');
            }
        }
        text
    }

    fn as_json(&self, card: &Card, lookup: &Lookup<'_>) -> Value {
        let line = |line: &Line| {
            let place = line.place.as_ref().and_then(|place| lookup.words(place));
            let mut said = json!({"finds": line.finds, "how": line.how, "value": line.value, "place": place});
            if let Some(fields) = said.as_object_mut().filter(|_| !line.exact.is_null()) {
                fields.insert("exact".to_owned(), line.exact.clone());
            }
            said
        };
        let passage = |passage: &Passage| {
            let lines: Vec<Value> = passage.lines.iter().map(line).collect();
            json!({"of": passage.of, "lines": lines})
        };
        let working: Vec<Value> = self.passages(card).iter().map(passage).collect();
        json!({"id": card.id, "kind": card.kind, "title": card.title, "stamp": card.stamp, "working": working})
    }
}
