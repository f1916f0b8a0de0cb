//! The catalogue: every word of the pages in every language. A word without one of them does not
//! compile; the tests hold that none is empty and that gaps agree.
//!
//! `{0}` and `{1}` are gaps for values. Sentences are whole: none is glued from fragments.

pub(crate) mod floor;
pub(crate) mod work;

/// A word of some catalogue.
pub(crate) trait Said: Copy {
    /// English, Spanish, German, French.
    fn texts(self) -> [&'static str; 4];
}

/// Makes a catalogue.
macro_rules! catalogue {
    ($(#[$about:meta])* $kind:ident { $($name:ident: $en:literal, $es:literal, $de:literal, $fr:literal;)* }) => {
        $(#[$about])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub(crate) enum $kind {
            $(#[doc = $en] $name,)*
        }

        impl $crate::web::words::Said for $kind {
            fn texts(self) -> [&'static str; 4] {
                match self {
                    $(Self::$name => [$en, $es, $de, $fr],)*
                }
            }
        }

        #[cfg(test)]
        impl $kind {
            /// All.
            pub(crate) const ALL: &'static [Self] = &[$(Self::$name),*];
        }
    };
}
pub(crate) use catalogue;

catalogue! {
    /// Words of the frame, of the list of jobs and of taking a job in.
    Word {
        Jobs: "Jobs", "Trabajos", "Aufträge", "Travaux";
        NewJob: "Take in a job", "Recibir un trabajo", "Auftrag annehmen", "Prendre un travail";
        Handbook: "Handbook", "Manual", "Handbuch", "Manuel";
        ShopBook: "Shop book", "Libro del taller", "Werkstattbuch", "Livre de l’atelier";
        SkipToPage: "To the page itself", "Ir al contenido", "Zum Inhalt", "Aller au contenu";
        Language: "Language", "Idioma", "Sprache", "Langue";
        Choose: "Choose", "Elegir", "Wählen", "Choisir";
        Invented: "Practice book: shop, jobs and numbers are invented.", "Libro de práctica: taller, trabajos y números son inventados.", "Übungsbuch: Werkstatt, Aufträge und Zahlen sind erfunden.", "Livre d’exercice : atelier, travaux et chiffres sont inventés.";
        EngineEnglish: "What the engine says about a plan is written in English.", "Lo que el motor de cálculo dice de un plan está en inglés.", "Was der Rechenkern zu einem Plan sagt, steht auf Englisch.", "Ce que le calcul dit d’un plan est écrit en anglais.";
        BackToJobs: "To the list of jobs", "A la lista de trabajos", "Zur Liste der Aufträge", "Vers la liste des travaux";
        FaultMissing: "There is no such page.", "No existe esa página.", "Diese Seite gibt es nicht.", "Cette page n’existe pas.";
        FaultStranger: "This did not come from a page of this shop. Nothing was written.", "Esto no vino de una página de este taller. No se ha escrito nada.", "Das kam nicht von einer Seite dieser Werkstatt. Nichts wurde geschrieben.", "Ceci ne vient pas d’une page de cet atelier. Rien n’a été écrit.";
        FaultTooMuch: "More was sent than is taken. Nothing was written.", "Se envió más de lo que se admite. No se ha escrito nada.", "Es wurde mehr geschickt, als angenommen wird. Nichts wurde geschrieben.", "L’envoi dépasse ce qui est accepté. Rien n’a été écrit.";
        FaultInput: "This cannot be taken as it is.", "Así no se puede aceptar.", "So kann das nicht angenommen werden.", "Ceci ne peut pas être pris tel quel.";
        FaultBook: "The shop book cannot be used.", "El libro del taller no se puede usar.", "Das Werkstattbuch ist nicht benutzbar.", "Le livre de l’atelier est inutilisable.";
        FaultInside: "The program failed. Nothing was written; the other pages go on.", "El programa falló. No se ha escrito nada; las demás páginas siguen.", "Das Programm ist gescheitert. Nichts wurde geschrieben; die anderen Seiten gehen weiter.", "Le programme a échoué. Rien n’a été écrit ; les autres pages continuent.";
        JobsNone: "No job has been taken in yet.", "Todavía no se ha recibido ningún trabajo.", "Noch ist kein Auftrag angenommen.", "Aucun travail n’a encore été pris.";
        JobsOne: "One job is in the book.", "Hay un trabajo en el libro.", "Ein Auftrag steht im Buch.", "Un travail est dans le livre.";
        JobsMany: "{0} jobs are in the book.", "Hay {0} trabajos en el libro.", "{0} Aufträge stehen im Buch.", "{0} travaux sont dans le livre.";
        Job: "Job", "Trabajo", "Auftrag", "Travail";
        WhatItIs: "What it is", "Qué es", "Was es ist", "Ce que c’est";
        WhereItStands: "Where it stands", "En qué punto está", "Wo er steht", "Où il en est";
        Since: "Since", "Desde", "Seit", "Depuis";
        StageTakenIn: "taken in", "recibido", "angenommen", "pris en charge";
        StagePlanned: "plan fixed", "plan fijado", "Plan festgelegt", "plan fixé";
        StageRunning: "under way, step {0}", "en marcha, paso {0}", "läuft, Schritt {0}", "en cours, étape {0}";
        StageStarted: "under way", "en marcha", "läuft", "en cours";
        StageMeets: "judged: meets the note", "juzgado: cumple la nota", "beurteilt: erfüllt die Angabe", "jugé : conforme à la note";
        StageFails: "judged: does not meet the note", "juzgado: no cumple la nota", "beurteilt: erfüllt die Angabe nicht", "jugé : non conforme à la note";
        StageNotShown: "judged: not shown either way", "juzgado: no demostrado", "beurteilt: nicht nachgewiesen", "jugé : non démontré";
    }
}

#[cfg(test)]
mod tests {
    use super::floor::Floor;
    use super::work::Work;
    use super::*;

    fn gaps(text: &str) -> Vec<&str> {
        let mut found: Vec<&str> = text
            .match_indices('{')
            .map(|(at, _)| &text[at..at + 3])
            .collect();
        found.sort_unstable();
        found
    }

    fn whole(name: &str, texts: [&str; 4]) {
        for text in texts {
            assert!(!text.trim().is_empty(), "{name} lacks a language");
            assert_eq!(
                gaps(text),
                gaps(texts[0]),
                "{name}: gaps differ in \"{text}\""
            );
            assert!(!text.contains('!'), "{name}: no exclamation marks");
        }
    }

    #[test]
    fn no_word_lacks_a_language_and_gaps_agree() {
        for word in Word::ALL {
            whole(&format!("{word:?}"), word.texts());
        }
        for word in Floor::ALL {
            whole(&format!("{word:?}"), word.texts());
        }
        for word in Work::ALL {
            whole(&format!("{word:?}"), word.texts());
        }
    }
}
