//! What is left of a book with errors: whatever has an error is taken out, and all that refers to it, so that the rest can be
//! looked at on without a word about what is missing. Goes by the places of the errors; knows what refers to what.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use super::model::{CardList, PointsOfSail, Sail, Sections};
use super::problem::{Level, Place, Problem, SourceId};
use super::sound::{Book, Missing, Section};
use super::tree::{Node, Value};
use super::words;

/// Fields that all the rest of the book stands on: without one of them nothing is looked at.
const GROUND: [&str; 3] = ["book", "boat", "units"];

/// The fields of a book that can be taken out, and what of the book they are.
const SECTIONS: [(&str, Section); 20] = [
    ("wind_bands", Section::WindBands),
    ("wind_source", Section::WindSource),
    ("points_of_sail", Section::PointsOfSail),
    ("controls", Section::Controls),
    ("sails", Section::Sails),
    ("settings", Section::Settings),
    ("adjust", Section::Adjustments),
    ("dark", Section::Dark),
    ("change_points", Section::ChangePoints),
    ("wardrobe", Section::Wardrobe),
    ("crew", Section::Crew),
    ("righting", Section::Righting),
    ("watches", Section::Watches),
    ("forecast", Section::Forecast),
    ("checks", Section::Checks),
    ("outboard_lead", Section::OutboardLead),
    ("lacing", Section::Lacing),
    ("stowage", Section::Stowage),
    ("sailed", Section::Sailed),
    ("cards", Section::Cards),
];
/// The other fields of a book.
const OTHERS: [&str; 2] = ["example", "printing"];

/// What is left of a book; `None` if nothing can be said of it. `tables` gives the source that a text of the book names.
pub(super) fn of(
    root: &Node,
    sections: Sections,
    problems: &[Problem],
    tables: &dyn Fn(&str) -> Option<SourceId>,
) -> Option<Book> {
    let errors = Errors::among(problems, tables)?;
    let Value::Map(fields) = &root.value else { return None };
    let mut out = Out::default();
    let mut unknown_field = false;
    for (key, value) in fields {
        let has_error = || errors.touch(&key.place) || errors.reach(value);
        let Value::Text { text: name, .. } = &key.value else { return None };
        match SECTIONS.iter().find(|(field, _)| field == name) {
            Some((_, section)) => out.look_at(*section, key, value, &errors),
            None if GROUND.contains(&name.as_str()) && has_error() => return None,
            None if GROUND.contains(&name.as_str()) || OTHERS.contains(&name.as_str()) => {}
            // Nobody reads what stands in a field that nobody knows.
            None if errors.reach(value) => return None,
            None => unknown_field = true,
        }
    }
    if unknown_field {
        // It may have been meant for any section that is not there.
        let is_there = |field: &str| fields.iter().any(|(key, _)| is_text(key, field));
        let absent = SECTIONS.iter().filter(|(field, _)| !is_there(field));
        absent.for_each(|(_, section)| out.section(*section));
    }
    Some(out.taken_from(sections))
}

fn is_text(node: &Node, wanted: &str) -> bool {
    matches!(&node.value, Value::Text { text, .. } if text == wanted)
}

/// Where the errors of a run begin.
struct Errors<'a> {
    /// File and first byte, in order.
    starts: Vec<(SourceId, usize)>,
    /// The sources that a text of the book names.
    tables: &'a dyn Fn(&str) -> Option<SourceId>,
}

impl<'a> Errors<'a> {
    /// `None` if one of them is of no place, and so of the whole book.
    fn among(problems: &[Problem], tables: &'a dyn Fn(&str) -> Option<SourceId>) -> Option<Self> {
        let errors = problems.iter().filter(|problem| problem.level == Level::Error);
        let start = |problem: &Problem| problem.place.as_ref().map(|place| (place.source, place.bytes.start));
        let mut starts: Vec<(SourceId, usize)> = errors.map(start).collect::<Option<_>>()?;
        starts.sort_unstable();
        Some(Errors { starts, tables })
    }

    fn touch(&self, place: &Place) -> bool {
        let Place { source, bytes } = place;
        let first = self.starts.partition_point(|start| *start < (*source, bytes.start));
        let last = bytes.end.max(bytes.start + 1);
        self.starts.get(first).is_some_and(|start| *start < (*source, last))
    }

    /// Whether one of them is in or below a node, or in a table that is named there. A node that is used by reference lies
    /// elsewhere in the file than the one around it.
    fn reach(&self, node: &Node) -> bool {
        let below = match &node.value {
            Value::Null => false,
            Value::Text { text, .. } => (self.tables)(text).is_some_and(|source| self.are_in(source)),
            Value::List(items) => items.iter().any(|item| self.reach(item)),
            Value::Map(fields) => fields.iter().any(|(key, value)| self.touch(&key.place) || self.reach(value)),
        };
        below || self.touch(&node.place)
    }

    fn are_in(&self, source: SourceId) -> bool {
        self.touch(&Place { source, bytes: Range { start: 0, end: usize::MAX } })
    }
}

/// What is taken out: whole sections, and single things by their ids.
#[derive(Default)]
struct Out {
    whole: BTreeSet<Section>,
    /// Sections of which something is missing that has no name.
    nameless: BTreeSet<Section>,
    controls: BTreeSet<String>,
    sails: BTreeSet<String>,
    settings: BTreeSet<String>,
    adjustments: BTreeSet<String>,
    /// Places of the entries of `cards` that have an error.
    cards: Vec<Place>,
    /// Every id that a section declares, with that section.
    declared: Vec<(Section, String)>,
}

impl Out {
    fn section(&mut self, section: Section) {
        self.whole.insert(section);
    }

    /// Takes out what has an error in one section.
    fn look_at(&mut self, section: Section, key: &Node, value: &Node, errors: &Errors<'_>) {
        let (mut all_is_well, mut in_an_entry) = (!errors.touch(&key.place), false);
        match (section, &value.value) {
            (Section::Controls | Section::Sails | Section::Adjustments, Value::Map(entries)) => {
                for (id, entry) in entries {
                    let has_error = errors.touch(&id.place) || errors.reach(entry);
                    in_an_entry |= has_error;
                    self.declare(section, id, has_error);
                }
            }
            (Section::Settings, Value::List(items)) => {
                for item in items {
                    let has_error = errors.reach(item);
                    in_an_entry |= has_error;
                    match id_of(item) {
                        Some(id) => self.declare(section, id, has_error),
                        None => self.lose_one(section),
                    }
                }
            }
            (Section::Cards, Value::List(items)) => {
                for item in items.iter().filter(|item| errors.reach(item)) {
                    in_an_entry = true;
                    self.cards.push(item.place.clone());
                }
            }
            _ => {}
        }
        all_is_well &= in_an_entry || !errors.reach(value);
        if !all_is_well {
            self.section(section);
        }
    }

    fn declare(&mut self, section: Section, id: &Node, has_error: bool) {
        let Some(id) = words::id(id, "", &mut Vec::new()) else { return self.lose_one(section) };
        if has_error {
            self.names(section).insert(id.value.clone());
        }
        self.declared.push((section, id.value));
    }

    /// Something without a name that can be made out is missing: any name that nothing has may be meant for it.
    fn lose_one(&mut self, section: Section) {
        self.nameless.insert(section);
    }

    fn names(&mut self, section: Section) -> &mut BTreeSet<String> {
        match section {
            Section::Controls => &mut self.controls,
            Section::Sails => &mut self.sails,
            Section::Adjustments => &mut self.adjustments,
            _ => &mut self.settings,
        }
    }

    /// The book without what is taken out and all that refers to it.
    fn taken_from(mut self, mut sections: Sections) -> Book {
        self.take_out_what_was_not_read(&sections);
        while self.take_out_what_refers(&sections) {}
        let named = [Section::Controls, Section::Sails, Section::Settings];
        let nameless = named.iter().any(|section| self.whole.contains(section) || self.nameless.contains(section));
        let sections_out = self.whole.union(&self.nameless).copied().collect();
        let mut missing = Missing { sections: sections_out, names: BTreeSet::new(), nameless };
        let groups = [
            (Section::Controls, &self.controls),
            (Section::Sails, &self.sails),
            (Section::Settings, &self.settings),
            (Section::Adjustments, &self.adjustments),
        ];
        for (section, names) in groups {
            if !names.is_empty() {
                missing.sections.insert(section);
                missing.names.extend(names.iter().cloned());
            }
        }
        if !self.cards.is_empty() {
            missing.sections.insert(Section::Cards);
        }
        self.remove(&mut sections);
        Book::rest(sections, missing)
    }

    /// What a section declares and the readers could not make out has had its complaint; what is in a whole section that is
    /// taken out goes with it.
    fn take_out_what_was_not_read(&mut self, sections: &Sections) {
        for (section, id) in std::mem::take(&mut self.declared) {
            let is_read = match section {
                Section::Controls => sections.control(&id).is_some(),
                Section::Sails => sections.sail(&id).is_some(),
                Section::Adjustments => sections.adjustment(&id).is_some(),
                _ => sections.settings(&id).is_some() || sections.dock_tune(&id).is_some(),
            };
            if !is_read || self.whole.contains(&section) {
                self.names(section).insert(id);
            }
        }
        let whole = |section| self.whole.contains(&section);
        let [controls, sails, settings] = [Section::Controls, Section::Sails, Section::Settings].map(whole);
        let ids = |ids: Vec<&String>| ids.into_iter().cloned().collect::<Vec<_>>();
        if controls {
            self.controls.extend(ids(sections.controls.iter().map(|control| &control.id.value).collect()));
        }
        if sails {
            self.sails.extend(ids(sections.sails.iter().map(|sail| &sail.id.value).collect()));
        }
        if settings {
            self.settings.extend(ids(sections.settings.iter().map(|settings| &settings.id.value).collect()));
            self.settings.extend(ids(sections.dock_tunes.iter().map(|tune| &tune.id.value).collect()));
        }
    }

    /// Takes out whatever refers to what is out already; `false` once nothing does.
    fn take_out_what_refers(&mut self, sections: &Sections) -> bool {
        let before = self.controls.len() + self.sails.len() + self.settings.len() + self.adjustments.len();
        let is_out = |index: &usize| {
            sections.controls.get(*index).is_none_or(|control| self.controls.contains(&control.id.value))
        };
        for settings in &sections.settings {
            let sails_are_out = settings.sails.iter().any(|sail| self.sails.contains(&sail.value));
            if sails_are_out || settings.controls.iter().chain(settings.between.keys()).any(is_out) {
                self.settings.insert(settings.id.value.clone());
            }
        }
        for tune in sections.dock_tunes.iter().filter(|tune| tune.controls.iter().any(is_out)) {
            self.settings.insert(tune.id.value.clone());
        }
        for adjustment in &sections.adjustments {
            let sails_are_out = adjustment.scope.sails.iter().any(|sail| self.sails.contains(&sail.value));
            if sails_are_out || adjustment.moves.iter().any(|(index, _)| is_out(index)) {
                self.adjustments.insert(adjustment.id.value.clone());
            }
        }
        let referring: Vec<String> =
            sections.sails.iter().filter(|sail| self.refers(sail)).map(|sail| sail.id.value.clone()).collect();
        self.sails.extend(referring);
        // A sail that was replaced by one that is out would seem to be aboard again.
        let replaced = sections.sails.iter().filter(|sail| self.sails.contains(&sail.id.value));
        let replaced: Vec<String> = replaced.filter_map(|sail| Some(sail.replaces.as_ref()?.value.clone())).collect();
        self.sails.extend(replaced.into_iter().filter(|old| sections.sail(old).is_some()));
        before != self.controls.len() + self.sails.len() + self.settings.len() + self.adjustments.len()
    }

    /// Whether a sail refers to anything that is out.
    fn refers(&self, sail: &Sail) -> bool {
        let named = sail.replaces.iter().chain(&sail.flies_with).map(|other| &other.value);
        let sails = sail.reef_of.iter().chain(named);
        let mut settings = sail.start_from.iter().map(|settings| &settings.value);
        let mut controls = sail.offsets.iter().map(|(control, _)| &control.value);
        sails.into_iter().any(|sail| self.sails.contains(sail))
            || settings.any(|settings| self.settings.contains(settings))
            || controls.any(|control| self.controls.contains(control))
    }

    fn remove(&self, sections: &mut Sections) {
        self.remove_whole(sections);
        let stays = |index: &usize| {
            sections.controls.get(*index).is_some_and(|control| !self.controls.contains(&control.id.value))
        };
        let indices = (0..sections.controls.len()).filter(stays).enumerate();
        let moved: BTreeMap<usize, usize> = indices.map(|(new, old)| (old, new)).collect();
        let moved = |index: &usize| moved.get(index).copied();
        sections.controls.retain(|control| !self.controls.contains(&control.id.value));
        sections.sails.retain(|sail| !self.sails.contains(&sail.id.value));
        sections.settings.retain(|settings| !self.settings.contains(&settings.id.value));
        for settings in &mut sections.settings {
            // All of them stay: settings go with any of their controls.
            settings.controls = settings.controls.iter().filter_map(moved).collect();
            settings.between = settings.between.iter().filter_map(|(index, way)| Some((moved(index)?, *way))).collect();
        }
        sections.dock_tunes.retain(|tune| !self.settings.contains(&tune.id.value));
        for tune in &mut sections.dock_tunes {
            tune.controls = tune.controls.iter().filter_map(moved).collect();
        }
        sections.adjustments.retain(|adjustment| !self.adjustments.contains(&adjustment.id.value));
        for adjustment in &mut sections.adjustments {
            adjustment.moves =
                adjustment.moves.iter().filter_map(|(index, by)| Some((moved(index)?, by.clone()))).collect();
        }
        let settings: BTreeSet<String> = sections.settings.iter().map(|settings| settings.id.value.clone()).collect();
        for plan in sections.controls.iter_mut().filter_map(|control| control.strip.as_mut()) {
            plan.winds.retain(|winds| {
                let id = &winds.settings;
                let may_be_out = self.whole.contains(&Section::Settings) || self.nameless.contains(&Section::Settings);
                !self.settings.contains(&id.value) && (!may_be_out || settings.contains(&id.value))
            });
        }
        if let CardList::Listed(entries) = &mut sections.cards {
            entries.retain(|entry| !self.cards.contains(&entry.node.place));
        }
    }

    fn remove_whole(&self, sections: &mut Sections) {
        for section in &self.whole {
            match section {
                Section::WindBands => sections.bands.clear(),
                Section::WindSource => sections.wind_source = None,
                Section::PointsOfSail => sections.points_of_sail = PointsOfSail::default(),
                Section::Dark => sections.dark = None,
                Section::ChangePoints => sections.rungs_apart = None,
                Section::Wardrobe => sections.wardrobe = None,
                Section::Adjustments => sections.adjustments.clear(),
                Section::Crew => sections.race.crew = None,
                Section::Righting => sections.race.righting = None,
                Section::Watches => sections.race.watches = None,
                Section::Forecast => sections.race.forecast.clear(),
                Section::Checks => sections.race.checks.clear(),
                Section::OutboardLead => sections.rigging.outboard_lead = None,
                Section::Lacing => sections.rigging.lacing = None,
                Section::Stowage => sections.rigging.stowage = None,
                Section::Sailed => sections.sailed = None,
                Section::Cards => sections.cards = CardList::Listed(Vec::new()),
                // Their things go by name.
                Section::Controls | Section::Sails | Section::Settings => {}
            }
        }
    }
}

/// The id of a group of settings.
fn id_of(item: &Node) -> Option<&Node> {
    let Value::Map(fields) = &item.value else { return None };
    fields.iter().find(|(key, _)| is_text(key, "id")).map(|(_, id)| id)
}
