//! The wardrobe: each sail, the wind it is for, and what it is a reef of.

use crate::book::model::{Sail, SailKind, Spanned, Units};
use crate::book::problem::{Place, Problem};
use crate::book::quantity;
use crate::book::sets;
use crate::book::table::Table;
use crate::book::tree::Node;
use crate::book::words::{self, Names, Reference};
use crate::limits;
use crate::tuning::Axis;
use crate::tuning::range::SailRange;
use crate::wrong::shown;

const KINDS: [(&str, SailKind); 6] = [
    ("mainsail", SailKind::Mainsail),
    ("headsail", SailKind::Headsail),
    ("staysail", SailKind::Staysail),
    ("spinnaker", SailKind::Spinnaker),
    ("gennaker", SailKind::Gennaker),
    ("other", SailKind::Other),
];

pub fn sails(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> (Vec<Sail>, Names) {
    let mut sails = Vec::new();
    let Some(entries) = super::controls::declarations(node, "sails", problems) else {
        return (sails, Names::unreadable("sail"));
    };
    let mut names = Names::new("sail");
    let mut reefs: Vec<(usize, Place)> = Vec::new();
    for (key, value) in entries {
        let id = words::id(key, "a sail", problems);
        if id.is_none() {
            names.lose_one();
        }
        let sail = id.map(|id| sail(id, key, value, units, problems));
        let index = match sail {
            Some(Some((sail, reef_place))) => {
                reefs.extend(reef_place.map(|place| (sails.len(), place)));
                sails.push(sail);
                Some(sails.len() - 1)
            }
            _ => None,
        };
        names.declare(words::text_of(key).unwrap_or_default(), index);
    }
    for (index, place) in reefs {
        check_reef(&sails, index, &place, &names, problems);
    }
    for sail in &sails {
        check_replaced(&sails, sail, &names, problems);
    }
    for sail in &sails {
        check_partners(&sails, sail, &names, problems);
    }
    check_set_count(&sails, problems);
    check_alone(&sails, problems);
    (sails, names)
}

/// A sail replaces another that is there, and no ring of sails replaces one another.
fn check_replaced(sails: &[Sail], sail: &Sail, names: &Names, problems: &mut Vec<Problem>) {
    let Some(old) = &sail.replaces else { return };
    if names.find(&old.value, &old.place, problems).is_none() {
        return;
    }
    let next = |id: &String| {
        let found = sails.iter().find(|other| other.id.value == *id);
        found.and_then(|other| other.replaces.as_ref()).map(|old| old.value.clone())
    };
    let mut older = std::iter::successors(Some(old.value.clone()), next).take(sails.len() + 1);
    if older.any(|id| id == sail.id.value) {
        problems.push(Problem::error(
            old.place.clone(),
            format!("sail \"{}\" is said to replace itself, or a sail that replaces it", sail.id.value),
            "let the newer one replace the older one only",
        ));
    }
    let other = sails.iter().find(|other| other.id.value == old.value);
    if let Some(other) = other.filter(|other| !could_replace(sail.kind, other.kind)) {
        let [kind, old_kind] = [sail.kind, other.kind].map(kind_word);
        problems.push(Problem::error(
            old.place.clone(),
            format!("{kind} \"{}\" is said to replace {old_kind} \"{}\"", sail.id.value, other.id.value),
            "name the sail of its own kind that it was bought for, or take `replaces` out",
        ));
    }
}

/// Whether one could be set where the other was.
fn could_replace(new: SailKind, old: SailKind) -> bool {
    use SailKind::{Gennaker, Other, Spinnaker};
    let flies_free = |kind| matches!(kind, Spinnaker | Gennaker);
    new == old || flies_free(new) && flies_free(old) || new == Other || old == Other
}

fn kind_word(kind: SailKind) -> &'static str {
    KINDS.iter().find(|(_, known)| *known == kind).map_or("sail", |(word, _)| word)
}

fn sail(
    id: crate::book::model::Spanned<String>,
    key: &Node,
    value: &Node,
    units: &Units,
    problems: &mut Vec<Problem>,
) -> Option<(Sail, Option<Place>)> {
    let what = format!("sail \"{}\"", id.value);
    let mut fields = Table::open(value, what.as_str(), problems)?;
    fields.place = key.place.clone();
    let kind = fields.need("kind", "kind: headsail", problems);
    let kind = kind.and_then(|node| words::choice(node, &format!("the kind of {what}"), &KINDS, problems));
    let name = fields.take("name").and_then(|node| words::words(node, &format!("the name of {what}"), problems));
    let wind = fields.take("wind").and_then(|node| {
        let about = format!("the wind of {what}");
        quantity::wind_range(node, units, &about, &limits::WIND_KN, problems)
    });
    let angle = fields.take("angle").and_then(|node| {
        let about = format!("the wind angle of {what}");
        quantity::angle_range(node, units, &about, &limits::WIND_ANGLE_DEG, problems)
    });
    let luff = fields
        .take("luff")
        .and_then(|node| quantity::length(node, units, &format!("the luff of {what}"), &limits::LUFF, problems));
    let strop = fields
        .take("strop")
        .and_then(|node| quantity::length(node, units, &format!("the strop of {what}"), &limits::STROP, problems));
    let status = fields.take("status").and_then(|node| words::words(node, &format!("the status of {what}"), problems));
    let max_now = fields.take("max_now").and_then(|node| {
        let about = format!("`max_now` of {what}");
        let value = quantity::wind(node, units, &about, &limits::WIND_KN, problems)?;
        Some(Spanned { value, place: node.place.clone() })
    });
    if let (Some(max), Some(range)) = (&max_now, &wind)
        && !max.value.is_below(range.value.high)
    {
        problems.push(Problem::warning(
            max.place.clone(),
            format!("`max_now` of {what} takes nothing away: the sail is for no more wind than that"),
            "take it out, or write less than the upper end of its `wind`",
        ));
    }
    let reef_of = fields.take("reef_of").and_then(|node| words::words(node, &format!("`reef_of` of {what}"), problems));
    let about = format!("`flies_with` of {what}");
    let flies_with = fields
        .take("flies_with")
        .and_then(|node| node.some_items(&about, 1..=limits::MAX_PARTNERS, "[a3]", problems))
        .unwrap_or_default();
    let flies_with = flies_with.iter().filter_map(|node| words::words(node, &about, problems)).collect();
    let since = fields.take("since").and_then(|node| words::day(node, &format!("`since` of {what}"), problems));
    let replaces =
        fields.take("replaces").and_then(|node| words::words(node, &format!("`replaces` of {what}"), problems));
    let retired = fields.take("retired").and_then(|node| words::day(node, &format!("`retired` of {what}"), problems));
    let start_from = fields.take("start_from").and_then(|node| {
        node.some_items(&format!("`start_from` of {what}"), 0..=limits::MAX_ROWS, "[j1-upwind]", problems)
    });
    let start_from = start_from.unwrap_or_default().iter();
    let start_from =
        start_from.filter_map(|node| words::words(node, &format!("`start_from` of {what}"), problems)).collect();
    let offsets = fields.take("offsets").and_then(|node| {
        node.some_entries(&format!("`offsets` of {what}"), 0..=limits::MAX_ROWS, "{jib_lead: -1}", problems)
    });
    let offsets = offsets.unwrap_or_default().iter().filter_map(|(control, distance)| {
        let about = format!("an offset of {what}");
        Some((words::words(control, &about, problems)?, words::words(distance, &about, problems)?))
    });
    let offsets = offsets.collect();
    fields.finish(problems);
    let name = name.map_or_else(|| words::name_from_id(&id.value), |name| name.value);
    let reef_place = reef_of.as_ref().map(|reef| reef.place.clone());
    let sail = Sail {
        id,
        name,
        kind: kind?,
        wind: wind.map(|range| range.value),
        angle: angle.map(|range| range.value),
        luff,
        strop,
        status: status.map(|status| status.value),
        max_now,
        reef_of: reef_of.map(|reef| reef.value),
        flies_with,
        since: since.map(|day| day.value),
        replaces,
        retired: retired.map(|day| day.value),
        start_from,
        offsets,
        place: super::entry_place(key, value),
    };
    Some((sail, reef_place))
}

/// A reef is of a whole sail of the same kind: reefs of reefs could go round in a ring.
fn check_reef(sails: &[Sail], index: usize, place: &Place, names: &Names, problems: &mut Vec<Problem>) {
    let sail = &sails[index];
    let Some(whole) = &sail.reef_of else { return };
    let Some(Reference::To(target)) = names.find(whole, place, problems) else { return };
    let target = &sails[target];
    let fault = if target.id.value == sail.id.value {
        Some("itself".to_owned())
    } else if target.reef_of.is_some() {
        Some(format!("{}, which is a reef itself", shown(whole)))
    } else if target.kind != sail.kind {
        Some(format!("{}, a sail of another kind", shown(whole)))
    } else {
        None
    };
    if let Some(fault) = fault {
        problems.push(Problem::error(
            place.clone(),
            format!("sail \"{}\" is said to be a reef of {fault}", sail.id.value),
            "name the whole sail that is reefed",
        ));
    }
}

/// A sail flies with others that could be set alone: a chain of sails would never end in one that is.
fn check_partners(sails: &[Sail], sail: &Sail, names: &Names, problems: &mut Vec<Problem>) {
    for (nth, partner) in sail.flies_with.iter().enumerate() {
        let Some(Reference::To(target)) = names.find(&partner.value, &partner.place, problems) else { continue };
        let other = &sails[target];
        let what = format!("sail \"{}\" is said to fly with", sail.id.value);
        let fault = if other.id.value == sail.id.value {
            Some(("itself".to_owned(), "name the sail that it is set with"))
        } else if sail.flies_with[..nth].iter().any(|before| before.value == partner.value) {
            Some((format!("{} twice", shown(&partner.value)), "name each sail once"))
        } else if other.kind == SailKind::Mainsail || sail.kind == SailKind::Mainsail {
            let instead = "leave mainsails out: `sails` of the settings say which is up";
            Some((format!("{}, and one of them is a mainsail", shown(&partner.value)), instead))
        } else if !other.flies_with.is_empty() {
            let what = format!("{}, which itself flies with another", shown(&partner.value));
            Some((what, "name the sail that could be set alone"))
        } else {
            None
        };
        match fault {
            Some((fault, instead)) => {
                problems.push(Problem::error(partner.place.clone(), format!("{what} {fault}"), instead));
            }
            None if SailRange::together([sail.range(), other.range()]).made().is_none() => {
                let what = format!("{what} {}, but no wind and angle is for both", shown(&partner.value));
                problems.push(Problem::warning(
                    partner.place.clone(),
                    what,
                    "let their `wind` and `angle` ranges overlap, or take it out of `flies_with`",
                ));
            }
            None => {}
        }
    }
}

/// A staysail of which nothing says what it flies with is taken for a choice by itself: that is said, for it is seldom meant.
fn check_alone(sails: &[Sail], problems: &mut Vec<Problem>) {
    let is_replaced = |sail: &Sail| {
        let other = |other: &&Sail| other.replaces.as_ref().is_some_and(|old| old.value == sail.id.value);
        sails.iter().find(other).is_some()
    };
    let aboard = |sail: &&Sail| sail.retired.is_none() && !is_replaced(sail);
    for sail in sails.iter().filter(aboard).filter(|sail| sail.kind == SailKind::Staysail) {
        if !sets::partners(sail, sails).is_empty() {
            continue;
        }
        let leads = |other: &&Sail| {
            matches!(other.kind, SailKind::Headsail | SailKind::Gennaker | SailKind::Spinnaker)
                && other.flies_with.is_empty()
        };
        let together = |other: &&Sail| SailRange::together([sail.range(), other.range()]).made().is_some();
        let others = || sails.iter().filter(aboard).filter(leads);
        let other = others().rfind(together).or_else(|| others().next());
        let add = other.map_or_else(
            || "name the sail that it is set with in `flies_with`".to_owned(),
            |other| format!("add `flies_with: [{}]`", other.id.value),
        );
        problems.push(Problem::warning(
            sail.id.place.clone(),
            format!("staysail \"{}\" counts as set by itself: nothing says what it flies with", sail.id.value),
            format!("{add}; a sail that is set alone there is `kind: headsail`"),
        ));
    }
}

/// Every set is held against every other.
fn check_set_count(sails: &[Sail], problems: &mut Vec<Problem>) {
    let mut counted = 0;
    let full = sails.iter().flat_map(|sail| &sail.flies_with).find(|_| {
        counted += 1;
        counted > limits::MAX_SETS
    });
    if let Some(partner) = full {
        problems.push(Problem::error(
            partner.place.clone(),
            format!("more than {} sets of sails in `flies_with`", limits::MAX_SETS),
            "keep those that are set",
        ));
    }
}
