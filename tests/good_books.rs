//! Books that are right read without a word of complaint, and mean what their author meant.

#[test]
fn the_examples_have_no_problem_at_all() {
    for name in ["smallest.yaml", "full.yaml", "imperial.yaml"] {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name);
        let loaded = cockpit_cards::book::from_path(&path, cockpit_cards::drawing::font::has_glyph).unwrap();
        let report = cockpit_cards::book::report::for_people(&loaded.problems, &loaded.sources, false);
        assert_eq!(report, "", "{name}");
        assert!(loaded.is_sound() && loaded.book.is_some_and(|book| book.example), "{name}");
    }
}
