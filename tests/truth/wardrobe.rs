//! Which sail for which wind and angle: cells, gaps and hand-overs against a direct look at every range.

use cockpit_cards::tuning::wardrobe::{Area, SailRange, cell, gaps, hand_overs, sails_for, table};
use cockpit_cards::tuning::{Angle, Axis, Span, Wind};
use proptest::prelude::*;

const fn kn(knots: f64) -> Wind {
    Wind::knots(knots)
}

const fn deg(degrees: f64) -> Angle {
    Angle::degrees(degrees)
}

fn span<A: Axis>((low, high): (f64, f64)) -> Span<A> {
    Span::new(A::from_number(low), A::from_number(high)).unwrap()
}

fn area(wind: (f64, f64), angle: (f64, f64)) -> Area {
    Area { wind: span(wind), angle: span(angle) }
}

fn sail(wind: (f64, f64), angle: (f64, f64)) -> SailRange {
    Made { area: area(wind, angle), max_now: None }.range()
}

/// A sail in bare numbers, for a look at it that the code under test has no part in.
#[derive(Clone, Copy, Debug)]
struct Made {
    area: Area,
    max_now: Option<Wind>,
}

impl Made {
    fn range(&self) -> SailRange {
        SailRange::new(Some(self.area.wind), Some(self.area.angle), self.max_now)
    }
}

fn ranges(sails: &[Made]) -> Vec<SailRange> {
    sails.iter().map(Made::range).collect()
}

/// A wardrobe of our own invention: two jibs, a reaching sail, a running sail.
fn wardrobe() -> Vec<SailRange> {
    vec![
        sail((5.0, 16.0), (36.0, 55.0)),
        sail((14.0, 22.0), (36.0, 60.0)),
        sail((6.0, 18.0), (55.0, 110.0)),
        sail((5.0, 20.0), (100.0, 170.0)),
    ]
}

#[test]
fn a_cell_claims_a_sail_whole_only_if_all_of_it_is_in_the_sail_s_range() {
    let cell = cell(&wardrobe(), area((14.0, 17.0), (40.0, 50.0)));
    assert_eq!(cell.whole, [1]);
    assert_eq!(cell.part.len(), 1);
    assert_eq!((cell.part[0].sail, cell.part[0].area), (0, area((14.0, 16.0), (40.0, 50.0))));
    assert_eq!(cell.gaps, []);
}

#[test]
fn sails_stand_in_the_order_of_the_book() {
    let cell = cell(&wardrobe(), area((14.5, 15.5), (40.0, 50.0)));
    assert_eq!(cell.whole, [0, 1]);
    let backwards: Vec<SailRange> = wardrobe().into_iter().rev().collect();
    assert_eq!(sails_for(&backwards, kn(15.0), deg(45.0)).collect::<Vec<_>>(), [2, 3]);
}

#[test]
fn a_range_that_only_touches_a_cell_is_no_part_of_it() {
    let cell = cell(&wardrobe(), area((16.0, 22.0), (40.0, 55.0)));
    assert_eq!(cell.whole, [1]);
    assert_eq!(cell.part, []);
    // The first jib's last wind is its wind all the same.
    assert_eq!(sails_for(&wardrobe(), kn(16.0), deg(45.0)).next(), Some(0));
    assert_eq!(sails_for(&wardrobe(), kn(16.01), deg(45.0)).next(), Some(1));
}

#[test]
fn gaps_have_their_numbers() {
    let gaps = gaps(&wardrobe(), area((4.0, 30.0), (40.0, 170.0)));
    let expected = [
        // Below the jibs and above them.
        area((4.0, 5.0), (40.0, 55.0)),
        area((22.0, 30.0), (40.0, 60.0)),
        // From 55° the reacher begins at 6 kn; to 60° the second jib goes on above it.
        area((4.0, 6.0), (55.0, 100.0)),
        area((18.0, 30.0), (60.0, 100.0)),
        area((4.0, 5.0), (100.0, 170.0)),
        area((20.0, 30.0), (100.0, 170.0)),
    ];
    assert_eq!(gaps, expected);
}

#[test]
fn a_damaged_sail_opens_the_gap_it_leaves() {
    let mut sails = wardrobe();
    assert!(!sails[1].is_narrowed());
    let made = sails[1].made().unwrap();
    let worn = |most: f64| Made { area: made, max_now: Some(kn(most)) }.range();
    sails[1] = worn(17.0);
    assert!(sails[1].is_narrowed());
    let asked = area((4.0, 22.0), (40.0, 50.0));
    assert_eq!(gaps(&sails, asked), [area((4.0, 5.0), (40.0, 50.0)), area((17.0, 22.0), (40.0, 50.0))]);
    let down_to_one = hand_overs(&sails)[0];
    assert_eq!((down_to_one.from, down_to_one.to, down_to_one.wind), (kn(14.0), kn(16.0), kn(15.0)));

    // Not to be used in any wind of its range; a limit above its range changes nothing.
    sails[1] = worn(14.0);
    assert_eq!(sails[1].now(), None);
    assert_eq!(sails_for(&sails, kn(14.0), deg(58.0)).collect::<Vec<_>>(), [2]);
    sails[1] = worn(30.0);
    assert!(!sails[1].is_narrowed());
    assert_eq!(sails[1].now(), Some(made));
}

#[test]
fn a_wardrobe_without_sails_is_one_gap() {
    let asked = area((4.0, 30.0), (40.0, 170.0));
    assert_eq!(gaps(&[], asked), [asked]);
    assert_eq!(hand_overs(&[]), []);
}

#[test]
fn the_table_has_a_row_for_each_wind_and_a_cell_for_each_angle() {
    let winds = [(4.0, 8.0), (8.0, 12.0), (12.0, 16.0)].map(span);
    let angles = [(30.0, 60.0), (60.0, 120.0)].map(span);
    let table = table(&wardrobe(), &winds, &angles);
    assert_eq!(table.iter().map(Vec::len).collect::<Vec<_>>(), [2, 2, 2]);
    assert_eq!(table[2][1].area, area((12.0, 16.0), (60.0, 120.0)));
}

#[test]
fn neighbours_change_over_in_the_middle_of_the_winds_they_share() {
    let sails = [
        sail((4.0, 12.0), (36.0, 55.0)),
        sail((10.0, 18.0), (36.0, 55.0)),
        // Takes over where the second ends.
        sail((18.0, 30.0), (30.0, 60.0)),
        // For the same winds as the second, inside the first's angles: nobody changes to it because the wind builds.
        sail((10.0, 18.0), (40.0, 50.0)),
    ];
    let found: Vec<_> = hand_overs(&sails)
        .iter()
        .map(|change| {
            let [from, wind, to] = [change.from, change.wind, change.to].map(Wind::to_knots);
            (change.lighter, change.heavier, from, wind, to)
        })
        .collect();
    assert_eq!(
        found,
        [(0, 1, 10.0, 11.0, 12.0), (0, 3, 10.0, 11.0, 12.0), (1, 2, 18.0, 18.0, 18.0), (3, 2, 18.0, 18.0, 18.0)]
    );
}

#[test]
fn a_third_sail_between_two_makes_them_no_neighbours_only_if_it_covers_all_their_angles() {
    let (light, heavy) = (sail((4.0, 16.0), (36.0, 60.0)), sail((14.0, 24.0), (36.0, 60.0)));
    let between = |angle| [light.clone(), sail((8.0, 20.0), angle), heavy.clone()];
    let neighbours = |sails: &[SailRange]| {
        hand_overs(sails).into_iter().find(|change| (change.lighter, change.heavier) == (0, 2)).map(|it| it.neighbours)
    };
    assert_eq!(neighbours(&between((30.0, 60.0))), Some(false));
    assert_eq!(neighbours(&between((36.0, 50.0))), Some(true));
}

prop_compose! {
    fn spans(least: i32, most: i32)(low in least..most, width in 1..(most - least)) -> (f64, f64) {
        // Whole numbers, so that ranges share their ends as those in a book do.
        (f64::from(low), f64::from((low + width).min(most)))
    }
}

fn areas() -> impl Strategy<Value = Area> {
    (spans(4, 30), spans(40, 170)).prop_map(|(wind, angle)| area(wind, angle))
}

fn wardrobes() -> impl Strategy<Value = Vec<Made>> {
    let sails = (areas(), prop::option::weighted(0.3, 4..30_i32));
    prop::collection::vec(sails.prop_map(|(area, max)| Made { area, max_now: max.map(|max| kn(f64::from(max))) }), 0..9)
}

/// Whether a sail is for a wind and angle, without any help from the code under test.
fn is_for(sail: &Made, wind: f64, angle: f64) -> bool {
    let (wind, angle) = (kn(wind), deg(angle));
    let most = sail.max_now.unwrap_or(Wind::ENDLESS).min(sail.area.wind.high);
    sail.area.wind.low <= wind && wind <= most && sail.area.angle.low <= angle && angle <= sail.area.angle.high
}

/// Points between the whole numbers: on no edge.
fn samples(area: Area) -> impl Iterator<Item = (f64, f64)> {
    fn halves<A: Axis>(span: Span<A>) -> impl Iterator<Item = f64> {
        (span.low.number() as i32..span.high.number() as i32).map(|whole| f64::from(whole) + 0.5)
    }
    halves(area.wind).flat_map(move |wind| halves(area.angle).map(move |angle| (wind, angle)))
}

fn inside(area: Area, wind: f64, angle: f64) -> bool {
    let (wind, angle) = (kn(wind), deg(angle));
    area.wind.low < wind && wind < area.wind.high && area.angle.low < angle && angle < area.angle.high
}

proptest! {
    #[test]
    fn every_wind_and_angle_is_in_just_one_gap_or_has_a_sail(sails in wardrobes(), asked in areas()) {
        let gaps = gaps(&ranges(&sails), asked);
        for (wind, angle) in samples(asked) {
            let in_gaps = gaps.iter().filter(|gap| inside(**gap, wind, angle)).count();
            let has_sail = sails.iter().any(|sail| is_for(sail, wind, angle));
            prop_assert_eq!(in_gaps, usize::from(!has_sail), "at {} kn, {}°", wind, angle);
        }
        // Nothing outside what was asked for.
        for gap in gaps {
            prop_assert!(asked.holds_all_of(gap), "{gap:?}");
        }
    }

    #[test]
    fn a_cell_says_of_every_sail_just_what_its_range_says(sails in wardrobes(), area in areas()) {
        let cell = cell(&ranges(&sails), area);
        for (index, sail) in sails.iter().enumerate() {
            let count = samples(area).filter(|(wind, angle)| is_for(sail, *wind, *angle)).count();
            let part = cell.part.iter().find(|part| part.sail == index);
            prop_assert_eq!(cell.whole.contains(&index), count == samples(area).count());
            prop_assert_eq!(part.is_some(), count > 0 && !cell.whole.contains(&index));
            if let Some(part) = part {
                for (wind, angle) in samples(area) {
                    prop_assert_eq!(inside(part.area, wind, angle), is_for(sail, wind, angle));
                }
            }
        }
        prop_assert!(cell.whole.is_sorted() && cell.part.is_sorted_by_key(|part| part.sail));
        prop_assert!(cell.whole.is_empty() || cell.gaps.is_empty());
    }

    #[test]
    fn both_sails_are_for_the_wind_they_change_over_in(sails in wardrobes()) {
        for change in hand_overs(&ranges(&sails)) {
            let angle = change.angle.middle().to_degrees();
            for sail in [change.lighter, change.heavier] {
                for wind in [change.from, change.wind, change.to] {
                    prop_assert!(is_for(&sails[sail], wind.to_knots(), angle), "{change:?}");
                }
            }
            let just_below = change.from.to_knots() - 0.5;
            let just_above = change.to.to_knots() + 0.5;
            prop_assert!(!is_for(&sails[change.heavier], just_below, angle), "{change:?}");
            prop_assert!(!is_for(&sails[change.lighter], just_above, angle), "{change:?}");
        }
    }

    #[test]
    fn sails_set_together_are_for_just_what_each_of_them_is_for(sails in wardrobes(), known in prop::collection::vec(any::<bool>(), 9)) {
        let one = |(sail, known): (&Made, &bool)| if *known { sail.range() } else { SailRange::default() };
        let together = SailRange::together(sails.iter().zip(&known).map(one));
        let asked = area((0.0, 40.0), (0.0, 180.0));
        for (wind, angle) in samples(asked) {
            let each = sails.iter().zip(&known).all(|(sail, known)| !known || is_for(sail, wind, angle));
            let found = together.now().is_some_and(|now| now.holds(kn(wind), deg(angle)));
            prop_assert_eq!(found, each, "at {} kn, {}°", wind, angle);
        }
    }

    #[test]
    fn a_narrowed_sail_never_adds_to_what_the_wardrobe_can_do(sails in wardrobes(), asked in areas()) {
        let whole: Vec<Made> = sails.iter().map(|sail| Made { max_now: None, ..*sail }).collect();
        let size = |gaps: Vec<Area>| gaps.iter().map(|gap| samples(*gap).count()).sum::<usize>();
        prop_assert!(size(gaps(&ranges(&sails), asked)) >= size(gaps(&ranges(&whole), asked)));
    }

    #[test]
    fn no_numbers_make_it_panic(numbers in prop::collection::vec(prop::num::f64::ANY, 0..40)) {
        let sails: Vec<SailRange> = numbers.chunks_exact(5).map(|n| Made {
            area: Area {
                wind: Span { low: kn(n[0]), high: kn(n[1]) },
                angle: Span { low: deg(n[2]), high: deg(n[3]) },
            },
            max_now: Some(kn(n[4])),
        }.range()).collect();
        let asked = area((4.0, 30.0), (40.0, 170.0));
        let _ = cell(&sails, asked);
        let _ = hand_overs(&sails);
    }
}
