//! What a page carries besides cards: check bars, crop marks, and the words that go with them.
