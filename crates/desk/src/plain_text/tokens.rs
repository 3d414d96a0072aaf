//! A line of the text form as words, signs between them and quoted texts, and how one goes through them. It knows nothing of music.

/// What a line is made of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Token {
    Word(String),
    Comma,
    Colon,
    Quote(String),
}

/// The tokens of a line that were not read yet.
#[derive(Clone, Debug)]
pub struct Tokens {
    all: Vec<Token>,
    at: usize,
}

impl Tokens {
    /// Errors: a quote without its end.
    pub fn of(line: &str) -> Result<Tokens, String> {
        let (mut all, mut rest) = (Vec::new(), line.trim_start());
        while let Some(first) = rest.chars().next() {
            match first {
                ',' => all.push(Token::Comma),
                ':' => all.push(Token::Colon),
                '"' => {
                    let (text, after) = quoted(&rest[1..]).ok_or("a text in quotes without its end")?;
                    all.push(Token::Quote(text));
                    rest = after.trim_start();
                    continue;
                }
                _ => {
                    let word = &rest[..rest.find([' ', ',', ':', '"']).unwrap_or(rest.len())];
                    all.push(Token::Word(word.to_owned()));
                    rest = rest[word.len()..].trim_start();
                    continue;
                }
            }
            rest = rest[1..].trim_start();
        }
        Ok(Tokens { all, at: 0 })
    }

    pub fn is_over(&self) -> bool {
        self.at >= self.all.len()
    }

    pub fn next(&mut self) -> Option<&Token> {
        self.at += 1;
        self.all.get(self.at - 1)
    }

    fn word_at(&self, ahead: usize) -> Option<&str> {
        match self.all.get(self.at + ahead) {
            Some(Token::Word(word)) => Some(word),
            _ => None,
        }
    }

    /// The next word, which stays.
    pub fn peek(&self) -> Option<&str> {
        self.word_at(0)
    }

    /// The next word, if it is one.
    pub fn word(&mut self) -> Option<String> {
        let word = self.peek()?.to_owned();
        self.at += 1;
        Some(word)
    }

    /// Takes these words, which are parted by spaces, if they come next.
    pub fn take(&mut self, words: &str) -> bool {
        let wanted: Vec<&str> = words.split(' ').collect();
        let all = wanted.iter().enumerate().all(|(i, word)| self.word_at(i) == Some(*word));
        if all {
            self.at += wanted.len();
        }
        all
    }

    /// Takes a sign between words, if it comes next.
    pub fn sign(&mut self, sign: &Token) -> bool {
        let there = self.all.get(self.at) == Some(sign);
        self.at += usize::from(there);
        there
    }

    pub fn quote(&mut self) -> Option<String> {
        match self.all.get(self.at) {
            Some(Token::Quote(text)) => {
                self.at += 1;
                Some(text.clone())
            }
            _ => None,
        }
    }

    /// A whole number.
    pub fn number<N: std::str::FromStr>(&mut self) -> Option<N> {
        let number = self.peek()?.parse().ok()?;
        self.at += 1;
        Some(number)
    }

    /// What was expected, and what stands there.
    pub fn expected(&self, what: &str) -> String {
        match self.all.get(self.at) {
            None => format!("expected {what}, found the end of the line"),
            Some(Token::Word(word)) => format!("expected {what}, found \"{word}\""),
            Some(Token::Quote(text)) => format!("expected {what}, found \"{text}\" in quotes"),
            Some(Token::Comma) => format!("expected {what}, found a comma"),
            Some(Token::Colon) => format!("expected {what}, found a colon"),
        }
    }

    /// Errors: something stands there still.
    pub fn end(&self) -> Result<(), String> {
        if self.is_over() { Ok(()) } else { Err(self.expected("the end of the line")) }
    }
}

/// A text in quotes; a quote in it is doubled, and spaces between its words are single.
pub fn quote(text: &str) -> String {
    format!("\"{}\"", plain(text).replace('"', "\"\""))
}

/// A text with single spaces between its words, as every text of the form is.
pub fn plain(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The text up to its closing quote, and what follows.
fn quoted(rest: &str) -> Option<(String, &str)> {
    let (mut text, mut rest) = (String::new(), rest);
    loop {
        let end = rest.find('"')?;
        text += &rest[..end];
        match rest[end + 1..].strip_prefix('"') {
            Some(more) => {
                text.push('"');
                rest = more;
            }
            None => return Some((text, &rest[end + 1..])),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_in_quotes_come_back() {
        for text in ["mf", "a \"word\", and: more", "\"", ""] {
            let mut tokens = Tokens::of(&format!("dynamic {}, next", quote(text))).expect("a line");
            assert!(tokens.take("dynamic"));
            assert_eq!(tokens.quote().as_deref(), Some(text));
            assert!(tokens.sign(&Token::Comma) && tokens.take("next") && tokens.is_over());
        }
        assert!(Tokens::of("a \"quote").is_err());
    }
}
