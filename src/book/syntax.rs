//! YAML's own rules in a shipmate's words: what broke where the parser stopped, and how to mend it.

use std::ops::Range;

use serde_saphyr::granit_parser::{ErrorKind, ScanError};

use super::problem::{Place, Problem, SourceId};
use crate::limits::MAX_NESTING;

/// A syntax error of the parser as a problem of the book. `open_bracket` is where the innermost bracket stands that was
/// open when the parser stopped: if that was on an earlier line, the fault is most likely there.
pub fn problem(source: SourceId, text: &str, error: &ScanError, open_bracket: Option<usize>) -> Problem {
    let at = error.marker().byte_offset().unwrap_or_else(|| byte_offset(text, error.marker().index()));
    let at = if words(error.kind()).0 == TAB.0 { tab_before(text, at) } else { at };
    let place = Place { source, bytes: at..end_of_character(text, at) };
    if *error.kind() == ErrorKind::RecursionLimitExceeded {
        return too_deep(place);
    }
    let earlier = |bracket: &usize| text.get(*bracket..at).is_some_and(|between| between.contains('\n'));
    if let Some(bracket) = open_bracket.filter(earlier) {
        let place = Place { source, bytes: bracket..end_of_character(text, bracket) };
        return Problem::error(place, OPEN_BRACKET.0, OPEN_BRACKET.1);
    }
    if let Some(dash) = bare_dash(text, at) {
        return Problem::error(Place { source, bytes: dash }, BARE_DASH.0, BARE_DASH.1);
    }
    let (what, instead) = words(error.kind());
    let place = match line_without_colon(text, at).filter(|_| what == COLON.0) {
        Some(bytes) => Place { source, bytes },
        None => place,
    };
    Problem::error(place, what, instead)
}

/// Lists and fields nested past what any book needs.
pub fn too_deep(place: Place) -> Problem {
    Problem::error(
        place,
        format!("lists and fields stand inside one another more than {MAX_NESTING} deep"),
        "a book needs about seven levels: look for brackets that were never closed",
    )
}

/// A tag on a value.
pub fn tag(place: Place) -> Problem {
    Problem::error(place, TAG.0, TAG.1)
}

const TAG: (&str, &str) =
    ("a value starts with `!`, which YAML takes for a tag", "take the `!` out, or put the text in quotes");
const BRACKET: (&str, &str) = (
    "a bracket is not closed, or a comma is missing or doubled before this place",
    "close every `[` with `]` and every `{` with `}`, and put one comma between two items",
);
const BARE_DASH: (&str, &str) =
    ("a `-` by itself is no value", "write `~` for not recorded, `none` for not used; a text goes in quotes");
const OPEN_BRACKET: (&str, &str) = (
    "this bracket is not closed where it should be, or a comma is missing after it",
    "close `[` with `]` and `{` with `}`, and put one comma between two items",
);
const QUOTE: (&str, &str) =
    ("a text in quotes is not closed, or something follows its closing quote", "end it with the quote it began with");
const ESCAPE: (&str, &str) = (
    "a backslash in double quotes starts an escape, and this is none",
    "use single quotes, or write `\\\\` for one backslash",
);
const INDENT: (&str, &str) = (
    "this line stands further in or out than the lines it belongs to",
    "line it up with its neighbours, two spaces for each level",
);
const TAB: (&str, &str) = ("a tab stands where spaces are needed", "indent with spaces, two for each level");
const COLON: (&str, &str) = (
    "this line is no `name: value`, or holds a second colon",
    "write `name: value`, a space after the colon, and put quotes round a text that holds a colon and a space",
);
const DASH: (&str, &str) = ("a list and fields are mixed here", "start every item of a list with `- `, in one column");
const DIRECTIVE: (&str, &str) = ("a line starts with `%`", "take it out: a book has no such lines");
const BLOCK_TEXT: (&str, &str) =
    ("a text after `|` or `>` does not start as it should", "write it on one line, in quotes");

fn words(kind: &ErrorKind) -> (String, String) {
    let fixed = match kind {
        ErrorKind::UnexpectedCharacter { character } => {
            return (
                format!("a text cannot start with `{}`", character.escape_debug()),
                "put the text in quotes".to_owned(),
            );
        }
        ErrorKind::UnclosedFlowCollection { open } => {
            let close = if *open == '[' { ']' } else { '}' };
            return (format!("a `{open}` is never closed"), format!("close it with `{close}`"));
        }
        ErrorKind::MismatchedFlowCollectionEnd { open, close } => {
            let wanted = if *open == '[' { ']' } else { '}' };
            return (format!("a `{open}` is closed with `{close}`"), format!("close it with `{wanted}`"));
        }
        ErrorKind::MisplacedFlowCollectionEnd => {
            ("a bracket is closed that was never opened", "take it out, or open it where its list starts")
        }
        ErrorKind::UnexpectedEofFlowSequence
        | ErrorKind::UnexpectedEofFlowMapping
        | ErrorKind::UnexpectedEofImplicitFlowMapping
        | ErrorKind::ExpectedFlowMappingSeparator
        | ErrorKind::ExpectedFlowSequenceSeparator
        | ErrorKind::BlockEntryInFlowCollection
        | ErrorKind::ExpectedNodeContent
        | ErrorKind::PlainScalarStartsWithDashFlowIndicator
        | ErrorKind::FlowMappingValueAdjacentCollection => BRACKET,
        ErrorKind::UnclosedQuotedScalar
        | ErrorKind::DocumentIndicatorInQuotedScalar
        | ErrorKind::InvalidTrailingSingleQuotedScalar
        | ErrorKind::InvalidTrailingDoubleQuotedScalar => QUOTE,
        ErrorKind::UnknownQuotedScalarEscape
        | ErrorKind::InvalidQuotedScalarHexEscape
        | ErrorKind::InvalidLowSurrogateHexEscape
        | ErrorKind::InvalidLowSurrogate
        | ErrorKind::MissingLowSurrogate
        | ErrorKind::UnpairedLowSurrogate
        | ErrorKind::InvalidUnicodeEscape => ESCAPE,
        ErrorKind::TabNotAllowed
        | ErrorKind::TabInBlockIndentation
        | ErrorKind::TabInIndentation
        | ErrorKind::TabAtBlockScalarStart
        | ErrorKind::TabInPlainScalar => TAB,
        ErrorKind::InvalidIndentation
        | ErrorKind::InvalidQuotedScalarIndent
        | ErrorKind::InvalidFlowScalarIndent
        | ErrorKind::UnexpectedEofBlockMapping
        | ErrorKind::UnexpectedEofBlockSequence => INDENT,
        ErrorKind::ExpectedBlockMappingKey
        | ErrorKind::SimpleKeyExpected
        | ErrorKind::InvalidSimpleKey
        | ErrorKind::MappingKeyNotAllowed
        | ErrorKind::MappingValueNotAllowed
        | ErrorKind::InvalidColonPlacement
        | ErrorKind::InvalidMappingValueWhitespace => COLON,
        ErrorKind::ExpectedBlockSequenceEntry
        | ErrorKind::BlockSequenceEntryNotAllowed
        | ErrorKind::InvalidBlockEntryWhitespace => DASH,
        ErrorKind::ZeroBlockScalarIndent
        | ErrorKind::InvalidBlockScalarHeader
        | ErrorKind::InvalidBlockScalarIndent => BLOCK_TEXT,
        ErrorKind::CommentNotSeparated | ErrorKind::CommentInterceptedScalar => {
            ("a `#` starts a comment in the middle of something", "put a space before it, or put the text in quotes")
        }
        ErrorKind::DirectiveDisallowed
        | ErrorKind::DuplicateVersionDirective
        | ErrorKind::UnsupportedYamlMajorVersion
        | ErrorKind::MissingDocumentEndBeforeDirective => DIRECTIVE,
        ErrorKind::ExpectedTagBang
        | ErrorKind::UndeclaredTagHandle
        | ErrorKind::InvalidGlobalTagCharacter
        | ErrorKind::InvalidTagTerminator
        | ErrorKind::MissingTagUri
        | ErrorKind::UnclosedVerbatimTag
        | ErrorKind::InvalidTagEscape
        | ErrorKind::InvalidTagUtf8
        | ErrorKind::InvalidTagUtf8LeadingByte
        | ErrorKind::InvalidTagUtf8TrailingByte => TAG,
        ErrorKind::BomInsideDocument => {
            ("a byte-order mark stands in the middle of the book", "delete this line and type it again")
        }
        ErrorKind::InvalidDocumentEnd | ErrorKind::ExpectedDocumentStart => {
            ("something stands where the book should be over", "take it out, or line it up with the lines above it")
        }
        ErrorKind::MissingAnchorOrAliasName => ("a text cannot start with `&` or `*`", "put the text in quotes"),
        _ => ("this cannot be read as YAML", "compare this line and the one above it with an example book"),
    };
    (fixed.0.to_owned(), fixed.1.to_owned())
}

/// The tab that the parser stopped at or just behind.
fn tab_before(text: &str, at: usize) -> usize {
    let before = text.get(..at).unwrap_or_default();
    let spaces = before.len() - before.trim_end_matches([' ', '\t']).len();
    before.get(at - spaces..).and_then(|gap| gap.find('\t')).map_or(at, |tab| at - spaces + tab)
}

/// A dash with nothing to it, at or just before where the parser stopped, in a list or as a value: `[2, -, 3]`.
fn bare_dash(text: &str, at: usize) -> Option<Range<usize>> {
    let blank = [' ', '\t'];
    let dash = if text.get(at..)?.starts_with('-') {
        at
    } else {
        text.get(..at)?.trim_end_matches(blank).len().checked_sub(1)?
    };
    let after = text.get(dash..)?.strip_prefix('-')?.trim_start_matches(blank);
    let before = text.get(..dash)?.trim_end_matches(blank);
    let in_brackets = before.ends_with(['[', ',', '{', ':']) && after.starts_with([',', ']', '}']);
    let alone = before.ends_with(':') && (after.is_empty() || after.starts_with(['\n', '\r']));
    (in_brackets || alone).then_some(dash..dash + 1)
}

/// The line above, if it has no colon: to YAML the line at hand then goes on with its text, and stumbles.
fn line_without_colon(text: &str, at: usize) -> Option<Range<usize>> {
    let before = text.get(..at)?;
    let above = before.get(..before.rfind('\n')?)?.trim_end();
    let start = above.rfind('\n').map_or(0, |newline| newline + 1);
    let line = above.get(start..)?.trim_start();
    let plain = !line.is_empty() && !line.starts_with(['#', '-', '[', '{', '"', '\'']) && !line.contains(':');
    plain.then(|| above.len() - line.len()..above.len())
}

fn byte_offset(text: &str, characters: usize) -> usize {
    text.char_indices().nth(characters).map_or(text.len(), |(at, _)| at)
}

fn end_of_character(text: &str, at: usize) -> usize {
    let length = text.get(at..).and_then(|rest| rest.chars().next()).map_or(0, char::len_utf8);
    at + length
}
