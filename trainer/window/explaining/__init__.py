"""What a part or a word is, in plain words: a page on each part of the drawing, and a glossary."""
