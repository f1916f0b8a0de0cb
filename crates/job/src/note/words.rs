//! The trade's words in English, German, French and Spanish, and what each means in a note.
//!
//! A table and its look-up; nothing here weighs one word against another.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use super::token::{Kind, Token};

/// What a word of the trade says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Meaning {
    /// Case hardening is asked for.
    Case,
    /// A depth follows or went before.
    Depth,
    /// Effective depth; `iso` where the word belongs to ISO and its 550 HV.
    Effective {
        /// Belongs to ISO.
        iso: bool,
    },
    /// Total depth.
    Total,
    /// A limit hardness follows.
    Limit,
    /// The surface.
    Surface,
    /// The core.
    Core,
    /// A hardness is meant.
    HardnessWord,
    /// Hard to the file.
    FileHard,
    /// What follows is a least value.
    Least,
    /// What follows is a greatest value.
    Greatest,
    /// After grinding.
    AfterGrind,
    /// Before grinding.
    BeforeGrind,
    /// Grinding is spoken of without order.
    Grind,
    /// Metal to be removed after hardening.
    Stock,
    /// Per side.
    PerSide,
    /// On the diameter.
    OnDiameter,
    /// The area must stay free of case.
    MustNot,
    /// The area may be cased.
    May,
    /// Only the area is to be cased.
    Only,
    /// An area of the part.
    Area,
    /// A step of work told, not a requirement.
    Step,
    /// Another treatment than case hardening by carbon.
    OtherProcess,
    /// Another way of carburizing than in a pack.
    OtherMethod,
    /// Acceptance on a stated scale.
    Accept,
    /// A size, a place or a count, not a depth.
    Size,
    /// Carbon content.
    Carbon,
    /// Steel or its designation follows.
    Steel,
    /// A number of a list, sheet, part or revision follows.
    Label,
    /// A general remark with nothing to plan by.
    Remark,
    /// A negation.
    Not,
    /// Joins clauses.
    And,
    /// Joins words.
    Filler,
}

/// Which system of units a word belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Habit {
    /// No leaning.
    Either,
    /// ISO, DIN, EN, JIS and the languages of metric countries.
    Metric,
    /// American and older British habits.
    Inch,
}

/// One row of the dictionary.
#[derive(Clone, Copy, Debug)]
pub(super) struct Entry {
    /// Words in capitals without accents; a star ends an open word.
    pattern: &'static str,
    /// Its meaning.
    pub(super) meaning: Meaning,
    /// Its leaning.
    pub(super) habit: Habit,
}

macro_rules! entries {
    ($($meaning:expr, $habit:ident: $($pattern:literal)|+;)+) => {
        &[$($(Entry { pattern: $pattern, meaning: $meaning, habit: Habit::$habit },)+)+]
    };
}

use Meaning as M;

/// The dictionary. Within one first word the longest match wins, so order is for readers only.
const ENTRIES: &[Entry] = entries! {
    M::Case, Either: "CASE" | "CASED" | "CASE HARDEN*" | "CASEHARDEN*" | "CASE HDN*" | "CASE HD" | "C HDN*" | "C'HDN*" | "C / HDN*" | "C H"
        | "C / H" | "CARBURI*" | "CARBURIZE AND HARDEN*" | "CARBURISE AND HARDEN*" | "CARB" | "CARB'D" | "CARBD" | "CARBZ*" | "PACK HARDEN*" | "PACK CARBURI*" | "PACK CARB" | "BOX CARBURI*"
        | "RECARBURI*" | "CASE CARBURI*" | "CARBURI* CASE" | "CARBURI* HARDENED CASE" | "CASE THICKNESS" | "SKIN HARDEN*" | "CASEHDN" | "CSE HDN" | "CSE HARDEN*" | "C'HARDEN*" | "C HARDEN*" | "C / HARDEN*" | "CASE HARD'N" | "CASE HARD'D" | "CASE HD'N" | "CARB'Z" | "CARBZ'D" | "CRBZ" | "CARBERI*" | "CARBONIZ*" | "CARBONIS*";
    M::Case, Metric: "EINSATZHART*" | "EINSATZHAERT*" | "EINSATZGEHART*" | "EINSATZGEHAERT*" | "EINSATZ HARTEN" | "EINSATZ GEHARTET" | "EINSETZEN" | "ZEMENTIER*" | "AUFKOHL*" | "AUFGEKOHLT*" | "AUFZUKOHLEN"
        | "CEMENTAR" | "CEMENTADO" | "CEMENTADA" | "CEMENTACION" | "CEMENTER" | "CEMENTE" | "CEMENTEE" | "CEMENTEES" | "CEMENTATION" | "CARBURACION" | "CARBURADO" | "CEMENTAZIONE" | "CEMENTATO" | "CEMENTARE" | "EH";
    M::Depth, Either: "DEPTH" | "DEPTHS" | "CASE DEPTH" | "CASE DEPTHS" | "DEPTH OF CASE" | "CASE DEPTH OF" | "DEEP" | "DP" | "DPTH" | "DPT" | "CASE DEEP" | "CASE DP" | "C D" | "CARBURI* DEPTH" | "HARDENED DEPTH" | "DEPTH OF HARDNESS" | "DEPTH OF PENETRATION" | "PENETRATION";
    M::Depth, Metric: "TIEFE" | "TIEF" | "EINSATZTIEFE" | "PROFUNDIDAD" | "PROFUNDIDAD DE CAPA" | "CAPA" | "PROFONDEUR" | "PROF";
    M::Effective { iso: false }, Either: "EFF" | "EFFECT" | "EFFECTIVE" | "EFFECTIVE CASE" | "EFFECTIVE DEPTH" | "EFFECTIVE CASE DEPTH" | "EFF CASE DEPTH" | "EFF CASE" | "EFF DEPTH" | "EFF C D" | "CASE DEPTH EFFECTIVE" | "CASE DEPTH EFF" | "DEPTH EFFECTIVE" | "EFECTIVA" | "PROFUNDIDAD EFECTIVA" | "EFFEKTIV*" | "PROFONDEUR EFFICACE" | "EFFICACE";
    M::Effective { iso: false }, Inch: "ECD" | "E C D" | "EFF CD" | "EFFCD";
    M::Effective { iso: true }, Metric: "CHD" | "C H D" | "EHT" | "E H T" | "DC" | "CASE HARDENING DEPTH" | "CASE HARDENING HARDNESS DEPTH" | "CASE HARDNESS DEPTH" | "EINSATZHARTUNGSTIEFE" | "EINSATZHAERTUNGSTIEFE" | "EINSATZHARTETIEFE" | "EINSATZHAERTETIEFE" | "HARTETIEFE" | "HAERTETIEFE" | "PROFONDEUR DE CEMENTATION" | "PROFUNDIDAD DE CEMENTACION";
    M::Total, Either: "TOTAL" | "TOTAL CASE" | "TOTAL DEPTH" | "TOTAL CASE DEPTH" | "CASE DEPTH TOTAL" | "TOTAL CARBURI* DEPTH" | "CASE TOTAL" | "TCD" | "T C D" | "TOTAL CD" | "GESAMT*" | "TOTALE" | "DEPTH TOTAL";
    M::Limit, Either: "LIMIT" | "LIMIT HARDNESS" | "HARDNESS LIMIT" | "LIMITING HARDNESS" | "GRENZHARTE" | "GRENZHAERTE" | "CUT OFF" | "CUTOFF" | "CUTOFF HARDNESS" | "MEASURED TO" | "MEASURED AT" | "DEFINED AT" | "DEFINED AS DEPTH TO" | "DEPTH TO" | "DEPTH AT" | "WHERE HARDNESS IS" | "@" | "BASED ON" | "WHERE THE HARDNESS IS" | "POINT WHERE HARDNESS IS" | "CRITERION";
    M::Surface, Either: "SURFACE" | "SURF" | "SFC" | "SURFACE HARDNESS" | "SURF HARDNESS" | "SURF HDNS" | "SURFACE HDNS" | "CASE HARDNESS" | "CASE HDNS" | "HARDNESS OF CASE" | "SKIN HARDNESS" | "SURFACE HARDNESS OF" | "SKIN" | "CASE HARDNESS OF" | "SURFACES TO BE";
    M::Surface, Metric: "OBERFLACHE" | "OBERFLAECHE" | "OBERFLACHENHARTE" | "OBERFLAECHENHAERTE" | "RANDHARTE" | "RANDHAERTE" | "RAND" | "SUPERFICIE" | "DUREZA SUPERFICIAL" | "DURETE SUPERFICIELLE" | "DURETE EN SURFACE" | "SUPERFICIAL" | "SUPERFICIELLE" | "EN SURFACE" | "OBERFL";
    M::Core, Either: "CORE" | "CORE HARDNESS" | "CORE HDNS" | "CORE HARDNESS OF" | "HARDNESS OF CORE" | "CORES" | "HARDNESS OF THE CORE" | "IN CORE";
    M::Core, Metric: "KERN" | "KERNHARTE" | "KERNHAERTE" | "KERNFESTIGKEIT" | "NUCLEO" | "DUREZA NUCLEO" | "DUREZA DEL NUCLEO" | "COEUR" | "CŒUR" | "DURETE A COEUR" | "A COEUR" | "NUCLEO DUREZA";
    M::HardnessWord, Either: "HARDNESS" | "HDNS" | "HARD" | "HARDNESSES" | "HARDNESS RANGE" | "H'NESS" | "DUREZA" | "DURETE" | "HARTE" | "HAERTE" | "HARDEN TO" | "HARDENED TO" | "HDN TO" | "HARDEN & TEMPER TO" | "TEMPER TO" | "TEMPERED TO" | "DRAW TO" | "DRAWN TO" | "HARDEN AND TEMPER TO" | "HARDEN AND DRAW TO" | "REVENIDO A";
    M::FileHard, Inch: "FILE HARD" | "FILE HARDNESS" | "FILE HD" | "FILE TEST" | "FILE PROOF" | "FILEHARD" | "FEILENHART" | "GLASS HARD" | "DEAD HARD" | "TO RESIST FILE" | "FILE TIGHT";
    M::Least, Either: "BUT NOT LESS THAN" | "BUT NO LESS THAN" | "BUT AT LEAST" | "MORE THAN" | "GREATER THAN" | "HARDER THAN" | "NOT SOFTER THAN" | "NO SOFTER THAN" | "NOT BELOW" | "NOT UNDER" | "NOT SHALLOWER THAN" | "MIN" | "MINIMUM" | "MINDEST*" | "AT LEAST" | "NOT LESS THAN" | "NO LESS THAN" | "MINIMO" | "MINIMA";
    M::Greatest, Either: "BUT NOT MORE THAN" | "BUT NO MORE THAN" | "BUT NOT OVER" | "BUT NOT TO EXCEED" | "LESS THAN" | "SOFTER THAN" | "NOT DEEPER THAN" | "NO DEEPER THAN" | "NOT HARDER THAN" | "NO HARDER THAN" | "NOT ABOVE" | "NO HIGHER THAN" | "NOT HIGHER THAN" | "MAX" | "MAXIMUM" | "NOT MORE THAN" | "NO MORE THAN" | "NOT OVER" | "NOT TO EXCEED" | "SHALL NOT EXCEED" | "MUST NOT EXCEED" | "HOCHSTENS" | "HOECHSTENS" | "MAXIMO" | "MAXIMA" | "MAXIMAL" | "NO GREATER THAN" | "NOT GREATER THAN" | "NOT EXCEED";
    M::AfterGrind, Either: "AFTER GRIND*" | "AFTER GROUND" | "AFTER FINISH GRIND*" | "AFTER FINAL GRIND*" | "AFTER FINISH*" | "AFTER THE GRIND*" | "AFTER STOCK REMOVAL" | "AFTER FINAL MACHINING" | "AFTER FINISH MACHINING" | "AFTER MACHINING" | "AFTER REMOVAL OF" | "FINISH DEPTH" | "FINISHED DEPTH" | "FINISH CASE DEPTH"
        | "FINISHED CASE DEPTH" | "FINAL DEPTH" | "FINAL CASE DEPTH" | "FINAL CASE" | "FINISHED CASE" | "FINISH CASE" | "FINAL" | "AS GROUND" | "AFT GRIND*" | "AFT GRD" | "AFTER GRD" | "AFTER GR" | "A / G" | "A G" | "FINISHED PART" | "ON FINISHED PART" | "ON FINISHED SURFACE" | "FINISHED SURFACE" | "IN FINISHED CONDITION" | "FINISHED CONDITION" | "FINAL CONDITION" | "FINISHED" | "AT FINISH SIZE" | "AT FINISHED SIZE" | "FINISH SIZE" | "FINISHED SIZE" | "FINISHED DIMENSION" | "FINISHED DIMENSIONS" | "FINISH DIMENSIONS" | "POST GRIND*"
        | "AFTER LAPPING" | "AFTER HONING" | "AFTER HARD TURNING" | "ON GROUND SURFACE*" | "GROUND SURFACE*" | "AFTER ALL GRINDING" | "AFTER ALL MACHINING" | "REMAINING AFTER GRIND*" | "REMAINING CASE" | "AFTER FIN GRIND*" | "AFTER GRINDING TO SIZE" | "AFTER GRINDING AND POLISHING" | "AFTER FINISH GRINDING";
    M::AfterGrind, Metric: "NACH DEM SCHLEIFEN" | "NACH SCHLEIFEN" | "GESCHLIFFEN" | "FERTIGGESCHLIFFEN" | "ENDZUSTAND" | "FERTIGZUSTAND" | "IM FERTIGZUSTAND" | "IM ENDZUSTAND" | "FERTIGMASS" | "APRES RECTIFICATION" | "APRES RECTIF" | "DESPUES DE RECTIFICAR" | "DESPUES DEL RECTIFICADO" | "TRAS RECTIFICADO" | "TRAS RECTIFICAR" | "DESPUES DE RECTIFICADO" | "RECTIFIE";
    M::BeforeGrind, Either: "BEFORE GRIND*" | "BEFORE FINISH GRIND*" | "BEFORE FINISH*" | "BEFORE FINAL GRIND*" | "PRIOR TO GRIND*" | "PRIOR TO FINISH*" | "PRIOR TO FINAL GRIND*" | "AS CARBURI*" | "AS CASED" | "AS HARDENED" | "AS HEAT TREATED" | "BEFORE GRD" | "B / G" | "BEF GRIND*" | "BEFORE MACHINING" | "BEFORE FINISH MACHINING" | "BEFORE FINAL MACHINING"
        | "DIRECTLY AFTER HEAT TREATMENT" | "DIRECTLY AFTER TREATMENT" | "DIRECTLY AFTER HARDENING" | "IMMEDIATELY AFTER HEAT TREATMENT" | "AFTER HEAT TREATMENT BEFORE GRINDING" | "AS QUENCHED" | "AS TREATED" | "BEFORE STOCK REMOVAL" | "PRE GRIND*" | "BEFORE THE GRIND*" | "BEFORE REMOVAL OF" | "BEFORE LAPPING" | "BEFORE HONING" | "BEFORE ANY GRINDING" | "PRIOR TO ANY GRINDING";
    M::BeforeGrind, Metric: "VOR DEM SCHLEIFEN" | "VOR SCHLEIFEN" | "UNGESCHLIFFEN" | "AVANT RECTIFICATION" | "ANTES DE RECTIFICAR" | "ANTES DEL RECTIFICADO" | "DIREKT NACH DER WARMEBEHANDLUNG" | "VOR DEM FERTIGSCHLEIFEN";
    M::Grind, Either: "GRIND" | "GRINDING" | "GROUND" | "GRD" | "GRIND AFTER HARDEN*" | "GRIND AFTER HEAT TREAT*" | "FINISH GRIND*" | "FINAL GRIND*" | "TO BE GROUND" | "GRIND TO SIZE" | "GRIND ALL OVER" | "REGRIND" | "HONE" | "LAP" | "HARD TURN*" | "FINISH AFTER HEAT TREAT*" | "GRIND TO FINISH*" | "GRIND TO DRAWING SIZE" | "FOR GRINDING" | "GRIND AFTER H T" | "FINISH TO SIZE" | "FINISH MACHINE";
    M::Grind, Metric: "SCHLEIFEN" | "FERTIGSCHLEIFEN" | "SCHLIFF" | "RECTIFICAR" | "RECTIFICADO" | "RECTIFICATION" | "RECTIFIER";
    M::Stock, Either: "STOCK" | "GRIND STOCK" | "GRINDING STOCK" | "GRIND* ALLOWANCE" | "ALLOWANCE" | "LEAVE" | "ALLOW" | "STOCK REMOVAL" | "GRIND* ALLOW" | "STOCK FOR GRINDING" | "ALLOW FOR GRINDING" | "STOCK ALLOWANCE" | "MATERIAL REMOVAL" | "FINISH ALLOWANCE" | "ALLOWANCE FOR GRINDING" | "GRIND OFF" | "REMOVE BY GRINDING" | "GRINDING ALLOWANCE OF" | "REMOVAL" | "GRIND STK" | "STK";
    M::Stock, Metric: "AUFMASS" | "SCHLEIFAUFMASS" | "SCHLEIFZUGABE" | "SCHLEIFABTRAG" | "ZUGABE" | "SUREPAISSEUR" | "SUREPAISSEUR DE RECTIFICATION" | "SOBREMEDIDA" | "CRECES" | "SOBREMATERIAL" | "EXCEDENTE" | "ABTRAG";
    M::PerSide, Either: "PER SIDE" | "/ SIDE" | "A SIDE" | "EACH SIDE" | "PER SURFACE" | "/ SURFACE" | "PER FACE" | "EACH FACE" | "ON A SIDE" | "/ SD" | "PER SD" | "EA SIDE" | "A FACE" | "/ FACE" | "ON EACH SIDE" | "ON EACH FACE" | "PER FLANK" | "ON RADIUS" | "ON THE RADIUS" | "ON RAD" | "RADIALLY" | "OFF EACH SIDE" | "PS" | "SIDE" | "PER WALL" | "/ FLANK" | "PER SURF";
    M::PerSide, Metric: "JE SEITE" | "PRO SEITE" | "JE FLACHE" | "JE FLAECHE" | "PRO FLACHE" | "/ SEITE" | "PAR FACE" | "PAR COTE" | "POR LADO" | "POR CARA" | "JE FLANKE";
    M::OnDiameter, Either: "DIA STOCK" | "DIAM STOCK" | "DIAMETER STOCK" | "ON DIA" | "ON DIAM" | "ON DIAMETER" | "ON THE DIA" | "ON THE DIAMETER" | "ON O D" | "ON OD" | "ON THE OD" | "/ DIA" | "PER DIA" | "PER DIAMETER" | "DIAMETRAL" | "DIAMETRALLY" | "ON ⌀" | "OFF DIA" | "OFF DIAMETER" | "OFF THE DIAMETER" | "ON I D" | "ON ID" | "OVERALL" | "BOTH SIDES TOTAL";
    M::OnDiameter, Metric: "IM DURCHMESSER" | "AUF DEN DURCHMESSER" | "AM DURCHMESSER" | "AUF DURCHMESSER" | "SUR DIAMETRE" | "SUR LE DIAMETRE" | "AU DIAMETRE" | "EN DIAMETRO" | "EN EL DIAMETRO" | "AUF ⌀" | "AM ⌀";
    M::MustNot, Either: "NO CASE" | "NO CASE ON" | "NO CARBURI*" | "NO CARBURI* ON" | "NO CASE ALLOWED" | "NO CASE PERMITTED" | "MASK" | "MASK OFF" | "MASKED" | "SOFT" | "KEEP SOFT" | "KEPT SOFT" | "STAY SOFT" | "REMAIN SOFT" | "LEAVE SOFT" | "LEFT SOFT" | "TO BE SOFT" | "MUST BE SOFT" | "TO BE LEFT SOFT" | "TO STAY SOFT" | "TO REMAIN SOFT" | "MUST STAY SOFT" | "MUST REMAIN SOFT" | "SHALL REMAIN SOFT" | "STOP OFF" | "STOP-OFF" | "STOPPED OFF" | "STOPOFF"
        | "COPPER PLATE" | "COPPER PLATED" | "CU PLATE" | "COPPER PLATE STOP OFF" | "CU PLATE STOP OFF" | "REMOVE CASE" | "REMOVE CASE FROM" | "CASE REMOVED" | "CASE TO BE REMOVED" | "CASE TO BE REMOVED FROM" | "MACHINE OFF CASE" | "TURN OFF CASE" | "GRIND OFF CASE" | "GRIND CASE OFF" | "MACHINE CASE OFF" | "TURN CASE OFF" | "GRIND OFF CASE ON" | "GRIND OFF CASE FROM" | "DO NOT CARBURI*" | "DO NOT CASE" | "DO NOT CASE HARDEN" | "DO NOT HARDEN" | "NOT CARBURI*" | "NOT CASE HARDENED" | "NOT HARDENED" | "NOT TO BE CARBURI*" | "NOT TO BE CASE HARDENED" | "NOT TO BE CASED" | "NOT TO BE HARDENED" | "MUST NOT BE CARBURI*" | "MUST NOT BE CASE HARDENED" | "MUST NOT BE CASED" | "MUST NOT BE HARDENED" | "SHALL NOT BE CARBURI*"
        | "SHALL NOT BE CASE HARDENED" | "SHALL NOT BE HARDENED" | "FREE OF CASE" | "FREE FROM CASE" | "FREE FROM CARBURI*" | "CASE FREE" | "CASE NOT PERMITTED" | "CASE NOT ALLOWED" | "CASE NOT PERMITTED ON" | "CASE NOT PERMISSIBLE" | "EXCEPT" | "EXCEPT FOR" | "EXCEPT ON" | "EXCLUDING" | "EXCLUDE" | "PROTECT" | "PROTECT FROM CARBURI*" | "FROM CARBURI*" | "NO HARDENING" | "UNCARBURI*" | "PLUG" | "NON CARBURI*" | "NON HARDENED" | "UNHARDENED" | "TO BE FREE OF CASE" | "MUST BE FREE OF CASE" | "PAINT WITH STOP OFF" | "STOP OFF PAINT" | "NO CASE IN" | "OMIT CASE" | "OMIT CASE ON" | "ANNEAL"
        | "DO NOT CASE HARDEN THE" | "MAY NOT BE CASED" | "MAY NOT BE CARBURI*" | "MAY NOT BE HARDENED" | "CANNOT BE CASED" | "NO CASE HARDEN*" | "BUT NOT" | "NOT ON" | "NOT IN" | "SHALL BE SOFT" | "SHALL STAY SOFT" | "SHALL BE FREE OF CASE" | "NO CASE DEPTH" | "SHALL NOT BE CASED";
    M::MustNot, Metric: "WEICH" | "BLEIBT WEICH" | "BLEIBEN WEICH" | "WEICH LASSEN" | "WEICHBLEIBEND" | "WEICH BLEIBEN" | "MUSS WEICH BLEIBEN" | "ABDECKEN" | "ABGEDECKT" | "ISOLIEREN" | "ISOLIERT" | "NICHT AUFKOHLEN" | "NICHT AUFGEKOHLT" | "NICHT EINSATZGEHARTET" | "NICHT EINSATZHARTEN" | "NICHT HARTEN" | "NICHT GEHARTET" | "UNGEHARTET" | "OHNE EINSATZHARTUNG" | "FREI VON EINSATZ" | "AUSSER" | "AUSGENOMMEN" | "SIN CEMENTAR" | "NO CEMENTAR" | "NON CEMENTE" | "NON CEMENTEE" | "NE PAS CEMENTER" | "RESERVE" | "EPARGNER" | "EPARGNE" | "PROTEGER" | "BLANDO" | "BLANDA" | "SAUF" | "EXCEPTO" | "SALVO" | "NON CEMENTES";
    M::May, Either: "CASE OPTIONAL" | "OPTIONAL" | "OPTIONAL CASE" | "CASE PERMISSIBLE" | "CASE PERMITTED" | "CASE ALLOWED" | "CASE ACCEPTABLE" | "MAY BE CASED" | "MAY BE CASE HARDENED" | "MAY BE CARBURI*" | "MAY BE HARDENED" | "CARBURI* OPTIONAL" | "CARBURI* PERMITTED" | "CARBURI* PERMISSIBLE" | "PERMISSIBLE" | "CASE IS OPTIONAL" | "CASE MAY BE PRESENT" | "CASE MAY EXTEND" | "CASE MAY EXTEND INTO" | "CASE MAY RUN OUT" | "CASE RUNOUT PERMITTED" | "CASE IS PERMITTED" | "CASE HARDENING OPTIONAL" | "HARDENING OPTIONAL" | "CASE IS ALLOWED" | "OPTIONAL TO CASE" | "CASE HARDEN* PERMITTED" | "CASE HARDEN* PERMISSIBLE" | "MAY HAVE CASE";
    M::May, Metric: "DARF AUFGEKOHLT" | "DARF EINSATZGEHARTET" | "DARF GEHARTET" | "HARTE ZULASSIG" | "ZULASSIG" | "FREIGESTELLT" | "WAHLWEISE" | "FACULTATIF" | "OPCIONAL";
    M::Only, Either: "ONLY" | "NUR" | "SOLO" | "SEULEMENT" | "UNIQUEMENT" | "LOCALLY" | "SELECTIVE*" | "THESE SURFACES ONLY" | "CASE THIS SURFACE ONLY" | "CASE THIS AREA ONLY" | "MUST BE CASED" | "MUST BE CASE HARDENED" | "SHALL BE CASED" | "CASE REQUIRED" | "CASE REQUIRED ON" | "MUST BE CARBURI*" | "CASE THIS SURFACE" | "CASE THIS AREA" | "MUST HAVE CASE";
    M::Area, Either: "THREAD" | "THREADS" | "THD" | "THDS" | "THREADED END" | "THREADED ENDS" | "THREADED" | "THREADED PORTION" | "THREADED HOLE" | "THREADED HOLES" | "THREADED AREA" | "TAPPED HOLE" | "TAPPED HOLES" | "BORE" | "BORES" | "HOLE" | "HOLES" | "CROSS HOLE" | "PIN HOLE" | "PIN HOLES" | "OIL HOLE" | "OIL HOLES" | "KEYWAY" | "KEYWAYS" | "KEYSEAT" | "SLOT" | "SLOTS" | "TEETH" | "TOOTH" | "GEAR TEETH" | "TOOTH FLANKS" | "FLANKS" | "SHANK" | "JOURNAL" | "JOURNALS" | "BEARING JOURNALS" | "BEARING SURFACE" | "BEARING SURFACES" | "FACE" | "FACES" | "FLANGE" | "FLANGES"
        | "SPLINE" | "SPLINES" | "HUB" | "CENTER" | "CENTERS" | "CENTRES" | "CENTER HOLES" | "ID" | "I D" | "OD" | "O D" | "END" | "ENDS" | "ONE END" | "BOTH ENDS" | "THIS END" | "TIP" | "NOSE" | "HEAD" | "TANG" | "LUG" | "LUGS" | "EYE" | "EYES" | "HOOK" | "CAM" | "LOBES" | "CAM LOBES" | "AREA" | "AREAS" | "THIS AREA" | "THESE AREAS" | "MARKED AREA" | "MARKED AREAS" | "AREA MARKED" | "AREAS MARKED" | "INDICATED AREA" | "INDICATED AREAS" | "AREA INDICATED" | "AREAS INDICATED" | "AREA SHOWN" | "SURFACES" | "THIS SURFACE" | "THESE SURFACES" | "MARKED SURFACE" | "MARKED SURFACES" | "SURFACES MARKED"
        | "INDICATED SURFACES" | "SURFACES INDICATED" | "SURFACE MARKED" | "SURFACE INDICATED" | "SHOULDER" | "GROOVE" | "GROOVES" | "WEB" | "WEBS" | "RIM" | "COUNTERBORE" | "CBORE" | "WALL" | "PIVOT" | "PIVOT HOLE" | "WORKING FACE" | "WORKING SURFACE" | "WORKING SURFACES" | "ALL OVER" | "ALL SURFACES" | "OVERALL SURFACE" | "TAPER" | "SEAT" | "FLATS" | "FLAT" | "POINT" | "BLADE" | "JAW" | "JAWS" | "PROFILE" | "NECK" | "STEM" | "SHAFT END" | "SQUARE END" | "THIS FACE" | "WEAR SURFACE" | "WEAR SURFACES" | "WEAR FACE" | "REMAINDER" | "BALANCE" | "REST" | "REST OF PART" | "REST OF THE PART" | "REMAINDER OF PART" | "REMAINDER OF THE PART" | "BALANCE OF PART" | "BALANCE OF THE PART" | "CHAMFER" | "UNDERCUT" | "RACEWAY" | "RACE" | "BOSS" | "ALL AROUND";
    M::Area, Metric: "GEWINDE" | "GEWINDEENDE" | "BOHRUNG" | "BOHRUNGEN" | "NUT" | "NUTEN" | "ZAHNE" | "ZAEHNE" | "VERZAHNUNG" | "FLACHE" | "FLACHEN" | "FLAECHE" | "FLAECHEN" | "ZAPFEN" | "KENNZEICHNETE FLACHEN" | "BEREICH" | "BEREICHE" | "STIRNFLACHE" | "STIRNFLACHEN" | "ALLSEITIG" | "ENDEN" | "ENDE" | "SCHAFT" | "ROSCA" | "ROSCAS" | "FILETAGE" | "FILETAGES" | "FILETS" | "ALESAGE" | "AGUJERO" | "AGUJEROS" | "TROU" | "TROUS" | "DIENTES" | "DENTURE" | "ZENTRIERUNG" | "INNENGEWINDE" | "AUSSENGEWINDE" | "ZONE" | "ZONA";
    M::Step, Either: "QUENCH" | "QUENCHED" | "OIL QUENCH" | "WATER QUENCH" | "QUENCH IN OIL" | "QUENCH IN WATER" | "BRINE QUENCH" | "OIL HARDEN" | "WATER HARDEN" | "DIRECT QUENCH" | "REHEAT" | "REHEAT AND QUENCH" | "SINGLE REHEAT" | "DOUBLE REHEAT" | "DOUBLE QUENCH" | "SLOW COOL" | "COOL" | "COOL IN BOX" | "COOL IN PACK" | "TEMPER" | "TEMPERED" | "TEMPERING" | "DRAW" | "DRAWN" | "DRAWING TEMPERATURE" | "STRESS RELIEVE" | "STRESS RELIEF" | "NORMALIZE" | "NORMALISE" | "HARDEN" | "HARDENED" | "HARDENING" | "HDN" | "HDND" | "HD'N" | "HARD'N" | "HARDEN & TEMPER" | "HARDEN AND TEMPER" | "HARDENED AND TEMPERED" | "HARDEN & DRAW" | "HARDEN AND DRAW" | "H & T" | "Q & T" | "QUENCH AND TEMPER" | "HEAT TREAT" | "HEAT TREATMENT" | "HEAT TREATED"
        | "H T" | "HT" | "SOAK" | "HOLD" | "SUBZERO" | "SUB ZERO" | "DEEP FREEZE" | "COLD TREAT" | "STRAIGHTEN" | "AFTER HEAT TREAT*" | "AFTER HARDENING" | "AFTER HARDEN*" | "AFTER CARBURI*" | "BEFORE HARDENING" | "BEFORE HEAT TREAT*" | "BEFORE CARBURI*" | "PRIOR TO CARBURI*" | "PRIOR TO HEAT TREAT*" | "REFINE" | "SANDBLAST" | "SAND BLAST" | "SHOT BLAST" | "CLEAN" | "CLEANED" | "MAGNETIC PARTICLE" | "MAG PARTICLE INSPECT" | "INSPECT" | "HEAT" | "OIL" | "WATER" | "BRINE" | "FURNACE" | "AND HARDEN" | "AFTER CASE HARDENING" | "FURNACE COOL" | "BLACK OXIDE" | "BLACKEN" | "PLATE" | "WASH" | "MAG INSPECT" | "CHARCOAL";
    M::Step, Metric: "ANGELASSEN" | "ANLASSEN" | "ABSCHRECKEN" | "GEHARTET" | "GEHAERTET" | "HARTEN" | "HAERTEN" | "WARMEBEHANDLUNG" | "WAERMEBEHANDLUNG" | "WARMEBEHANDELT" | "REVENIDO" | "REVENIR" | "REVENU" | "TEMPLE" | "TEMPLADO" | "TEMPLAR" | "TREMPE" | "TREMPER" | "TREMPES" | "TREMPEE" | "SPANNUNGSARM GLUHEN" | "ENTSPANNEN" | "TRATAMIENTO TERMICO" | "TRAITEMENT THERMIQUE" | "WARMEBEHANDLUNGSZUSTAND";
    M::OtherProcess, Either: "NITRID*" | "GAS NITRID*" | "NITRIER*" | "NITROCARBURI*" | "FERRITIC NITROCARBURI*" | "CARBONITRID*" | "CARBONITRIER*" | "CARBONITRURA*" | "NITRURA*" | "NITRURE*" | "NITRURER" | "NITRURATION" | "INDUCTION" | "INDUCTION HARDEN*" | "INDUKTION*" | "INDUKTIVGEHART*" | "INDUKTIV*" | "FLAME HARDEN*" | "FLAMMHART*" | "FLAMMGEHART*" | "RANDSCHICHTHART*" | "RANDSCHICHTGEHART*" | "THROUGH HARDEN*" | "THRU HARDEN*" | "DURCHHARTEN" | "DURCHGEHARTET" | "NHD" | "NHT" | "SHD" | "RHT" | "CLT" | "OLT" | "FHD" | "CYANID*" | "CYANIDE HARDEN*" | "LASER HARDEN*" | "AUSTEMPER*"
        | "BORID*" | "BORONIZ*" | "TUFFTRID*" | "TENIFER" | "NEUTRAL HARDEN*" | "SURFACE HARDENING DEPTH" | "SURFACE HARDENED DEPTH" | "NITRIDING HARDNESS DEPTH" | "NITRIDING DEPTH" | "VERGUTEN" | "VERGUTET" | "VERGUETET" | "FNC" | "HARD CHROME" | "CHROME PLATE" | "TEMPLE POR INDUCCION" | "INDUCCION" | "TREMPE PAR INDUCTION" | "INDUKTIONSGEHARTET" | "IND HDN" | "IND HARDEN*" | "CHROMIZ*" | "ELECTRON BEAM HARDEN*";
    M::OtherMethod, Either: "GAS CARBURI*" | "VACUUM CARBURI*" | "LOW PRESSURE CARBURI*" | "LPC" | "LIQUID CARBURI*" | "SALT BATH CARBURI*" | "PLASMA CARBURI*" | "ION CARBURI*" | "GASAUFKOHL*" | "UNTERDRUCKAUFKOHL*" | "SALT BATH" | "CARBURIZE IN GAS" | "CEMENTATION GAZEUSE" | "ATMOSPHERE CARBURI*" | "GAS CARB";
    M::Accept, Either: "ACCEPT ON" | "ACCEPTANCE" | "ACCEPTED ON" | "ACCEPTANCE ON" | "ACCEPTANCE BY" | "ACCEPT BY" | "MUST BE MEASURED" | "SHALL BE MEASURED" | "TO BE MEASURED" | "MUST BE TESTED" | "SHALL BE TESTED" | "MUST BE CHECKED" | "TO BE CHECKED" | "TO BE TESTED" | "VERIFY WITH" | "VERIFY BY" | "TEST WITH" | "TEST BY" | "CHECK WITH" | "CHECK BY" | "INSPECT WITH" | "INSPECT BY" | "INSPECT ON" | "TESTED WITH" | "CHECKED WITH" | "MEASURED WITH" | "DIRECT READING" | "MUST READ" | "SHALL READ" | "TO READ" | "READ DIRECTLY" | "TESTED ON" | "CHECKED ON" | "MEASURE ON" | "MEASURE WITH";
    M::Size, Either: "BREAK EDGES" | "BREAK ALL EDGES" | "BREAK SHARP EDGES" | "BREAK ALL SHARP EDGES" | "SHARP EDGES" | "EDGES" | "CORNERS" | "BREAK CORNERS" | "BREAK ALL CORNERS" | "DEBURR" | "DIA" | "DIAM" | "DIAMETER" | "⌀" | "THICK" | "THICKNESS" | "THK" | "LONG" | "LENGTH" | "LG" | "WIDE" | "WIDTH" | "RADIUS" | "RADII" | "RAD" | "FILLET" | "FILLETS" | "CHAM" | "WITHIN" | "FIRST" | "OVER" | "FROM END" | "FROM ENDS" | "FROM FACE" | "FROM SHOULDER" | "FROM EDGE" | "FROM THE END" | "FROM THREADED END" | "FLATNESS" | "FLAT WITHIN" | "STRAIGHT WITHIN" | "TIR" | "T I R" | "RUNOUT" | "ROUGHNESS" | "RZ" | "RMAX" | "RMS" | "SQ" | "HEX" | "UNC" | "UNF" | "UNEF" | "BSW" | "BSF" | "NPT" | "DURCHMESSER" | "LANG" | "DICK" | "BREIT" | "PITCH" | "MODULE" | "SECTION" | "BOW" | "BREAK" | "CONCENTRIC WITHIN" | "BEGIN" | "FROM" | "VON" | "DISTORTION" | "WARP" | "WARPAGE" | "BELOW SURFACE" | "BELOW THE SURFACE" | "TPI";
    M::Carbon, Either: "CARBON" | "SURFACE CARBON" | "CARBON CONTENT" | "KOHLENSTOFF" | "RANDKOHLENSTOFF*" | "% C" | "% CARBON" | "PCT C" | "RETAINED AUSTENITE" | "RA MAX" | "RESTAUSTENIT" | "WT % C" | "GRAIN SIZE" | "CARBON POTENTIAL" | "C POT" | "AUSTENITE";
    M::Steel, Either: "MATL" | "MAT'L" | "MATERIAL" | "MTL" | "STEEL" | "STL" | "GRADE" | "AISI" | "CRS" | "HRS" | "WERKSTOFF" | "STAHL" | "ACERO" | "ACIER" | "MATIERE" | "LOW CARBON STEEL" | "MILD STEEL" | "ALLOY STEEL" | "BAR" | "FORGING" | "CD BAR" | "HEAT NO" | "MACHINE STEEL" | "TOOL STEEL" | "WELD" | "CASE HARDENING STEEL" | "M S" | "UNS";
    M::Label, Either: "NOTE" | "NOTES" | "ITEM" | "SHEET" | "SHT" | "REV" | "REVISION" | "DWG" | "DRAWING" | "DRG" | "P / N" | "PART NO" | "PART NUMBER" | "PART" | "ZONE NO" | "QTY" | "QUANTITY" | "CLASS" | "GRADE NO" | "TYPE" | "NO ." | "PARA" | "PARAGRAPH" | "OPERATION" | "OP" | "LOT" | "FIG" | "DATE" | "ISSUE" | "PER NOTE" | "SEE NOTE" | "CONDITION" | "COND" | "METHOD" | "STEP" | "LEVEL" | "VIEW" | "DETAIL" | "DATUM" | "ZEICHNUNG" | "POS" | "NR" | "DRAWING NO" | "DRAWING NUMBER" | "P O" | "PO NO" | "SN" | "ECN" | "ECO" | "MEASURING POINT" | "MEASURING POINTS" | "TEST POINT" | "TEST POINTS" | "MESSSTELLE" | "MESSPUNKT" | "LOCATION";
    M::Remark, Either: "FINISH" | "UNLESS OTHERWISE SPECIFIED" | "UNLESS OTHERWISE NOTED" | "UNLESS OTHERWISE STATED" | "U O S" | "UOS" | "UON" | "U O N" | "IN ACCORDANCE WITH" | "I A W" | "IAW" | "ACCORDING TO" | "ACC TO" | "ACC" | "PER SPEC" | "TO SPEC" | "SPEC" | "GEMASS" | "SELON" | "SEGUN" | "NACH" | "TYP" | "TYPICAL" | "REF" | "REFERENCE" | "APPROX" | "APPROXIMATELY" | "ABOUT" | "NOM" | "NOMINAL" | "EQUIVALENT" | "OR EQUIVALENT" | "OR EQUIV" | "AS SHOWN" | "SHOWN" | "INDICATED" | "MARKED" | "NO CRACKS" | "NO CRACK*" | "NO SCALE" | "NO GRINDING BURNS" | "NO DECARB*" | "DECARB*" | "FREE FROM CRACKS" | "FREE OF CRACKS" | "NO SOFT SPOTS" | "NO BURNS" | "NO DISTORTION"
        | "WIDE CHAIN LINE" | "THICK CHAIN LINE" | "CERTIFICATE" | "CERTIFY" | "CERT" | "CERTS" | "CERTIFICATION" | "CERT REQUIRED" | "ROCKWELL SCALE" | "PACK" | "BOX" | "PARTS" | "UNIFORM" | "UNIFORMLY" | "SURFACE FINISH" | "PLACES" | "PLCS" | "PL" | "PCS" | "OFF" | "CONVERTED" | "CONVERSION" | "CONV" | "NO CONVERSION" | "LOAD" | "TEST LOAD" | "COUPON" | "COUPONS" | "TEST PIECE" | "TEST PIECES" | "READINGS" | "BEFORE DELIVERY" | "SPECIFICATION" | "MICROHARDNESS" | "MICRO" | "TRAVERSE" | "MICROSCOPE" | "VISUAL" | "SAMPLE" | "REQUIRED" | "REQ'D" | "REQD" | "REQUIREMENTS" | "APPLIES" | "TOLERANCE" | "RANGE" | "DRAWING CONDITION" | "LATEST ISSUE" | "LATEST REVISION" | "CHAIN LINE" | "DASHED LINE" | "LINE";
    M::Remark, Metric: "MM" | "MILLIMETERS" | "MILLIMETRES" | "DIMENSIONS IN MM" | "DIMENSIONS ARE IN MM" | "ALL DIMENSIONS IN MM" | "ALL DIMENSIONS ARE IN MM" | "DIMS IN MM" | "ALL DIMS IN MM";
    M::Remark, Inch: "INCHES" | "DIMENSIONS IN INCHES" | "DIMENSIONS ARE IN INCHES" | "ALL DIMENSIONS IN INCHES" | "ALL DIMENSIONS ARE IN INCHES" | "DIMS IN INCHES" | "ALL DIMS IN INCHES";
    M::Not, Either: "NO" | "NOT" | "NEVER" | "EXCEPTING" | "UNLESS" | "WITHOUT" | "OMIT" | "DELETE" | "VOID" | "CANCELLED" | "DON'T" | "CANNOT" | "NICHT" | "KEIN*" | "OHNE" | "SANS" | "SIN" | "NE" | "PAS" | "NON" | "BUT" | "INSTEAD" | "RATHER" | "EXEMPT" | "AVOID" | "IF" | "WHEN" | "EITHER" | "ALTERNATIVE*" | "ALTERNATE" | "OTHERWISE" | "FALLS" | "STATT";
    M::And, Either: "AND" | "&" | "WITH" | "W /" | "UND" | "MIT" | "ET" | "Y" | "THEN" | "AVEC" | "CON" | "PLUS" | "OR" | "ODER" | "OU" | "DANN";
    M::Filler, Either: "HASTA" | "JUSQU'A" | "THE" | "TO" | "OF" | "A" | "AN" | "BE" | "IS" | "ARE" | "FOR" | "ON" | "IN" | "AT" | "BY" | "PER" | "ALL" | "SHALL" | "AS" | "MUST" | "WILL" | "HAVE" | "HAS" | "PROVIDE" | "GIVE" | "OBTAIN" | "PRODUCE" | "ACHIEVE" | "THIS" | "THESE" | "IT" | "DER" | "DIE" | "DAS" | "DEM" | "DEN" | "DES" | "IM" | "AUF" | "ZU" | "BIS" | "AM" | "EIN" | "EINE" | "LE" | "LA" | "LES" | "DE" | "DU" | "EL" | "EN" | "UN" | "UNE" | "SUR" | "INTO" | "PLEASE" | "KEEP" | "AFTER" | "USE" | "USING" | "EACH" | "BOTH" | "ONLY TO" | "MEASURED" | "DEL" | "AU" | "LOS" | "LAS" | "PARTS TO BE" | "PART TO BE" | "THAT" | "WHICH" | "UPON" | "MUSS" | "SOLL" | "VALUE" | "VALUES" | "SIDES" | "THROUGHOUT" | "FROM THE" | "IST" | "SIND" | "SEIN" | "WERDEN" | "AUCH" | "ALSO";
};

/// Rows by their first word, and the rows whose first word is open.
struct Dictionary {
    closed: BTreeMap<&'static str, Vec<(&'static Entry, Vec<&'static str>)>>,
    open: BTreeMap<u8, Vec<(&'static Entry, Vec<&'static str>)>>,
}

static DICTIONARY: LazyLock<Dictionary> = LazyLock::new(|| {
    let mut dictionary = Dictionary {
        closed: BTreeMap::new(),
        open: BTreeMap::new(),
    };
    for entry in ENTRIES {
        let words: Vec<&'static str> = entry.pattern.split(' ').collect();
        let first = words[0];
        if first.ends_with('*') {
            let initial = first.as_bytes()[0];
            dictionary
                .open
                .entry(initial)
                .or_default()
                .push((entry, words));
        } else {
            dictionary
                .closed
                .entry(first)
                .or_default()
                .push((entry, words));
        }
    }
    dictionary
});

/// The longest row that starts at token `at`, and the index behind it.
pub(super) fn find(tokens: &[Token], at: usize) -> Option<(&'static Entry, usize)> {
    let first = tokens.get(at)?;
    let initial = *first.text.as_bytes().first()?;
    let closed = DICTIONARY.closed.get(first.text.as_str());
    let open = DICTIONARY.open.get(&initial);
    closed
        .into_iter()
        .chain(open)
        .flatten()
        .filter_map(|(entry, words)| Some((*entry, matches(tokens, at, words)?)))
        // At equal length the closed row is the more exact one; it comes first.
        .fold(None, |best: Option<(&Entry, usize)>, next| match best {
            Some(best) if best.1 >= next.1 => Some(best),
            _ => Some(next),
        })
}

/// Index behind the words where they stand at `at`; hyphens and abbreviation points may join them.
fn matches(tokens: &[Token], at: usize, words: &[&str]) -> Option<usize> {
    let mut next = at;
    for (number, word) in words.iter().enumerate() {
        if number > 0 && *word != "-" {
            while tokens
                .get(next)
                .is_some_and(|t| t.text != *word && joins(t, words[number - 1]))
            {
                next += 1;
            }
        }
        let token = tokens.get(next)?;
        let fits = match word.strip_suffix('*') {
            Some(stem) => token.kind == Kind::Word && token.text.starts_with(stem),
            None => token.text == *word,
        };
        if !fits {
            return None;
        }
        next += 1;
    }
    // The point that ends an abbreviation such as `E.C.D.` goes with it.
    let dotted = tokens[at..next].iter().any(|t| t.is_sign('.'));
    // So does that of `MIN. CASE DEPTH`, which would otherwise end the sentence.
    let bound = matches!(words, ["MIN" | "MAX"])
        && tokens
            .get(next + 1)
            .is_some_and(|t| t.kind == Kind::Word && !t.new_line);
    if (dotted || bound) && tokens.get(next).is_some_and(|t| t.is_sign('.') && t.glued) {
        next += 1;
    }
    Some(next)
}

/// Whether a sign may stand between two words of one row.
fn joins(token: &Token, before: &str) -> bool {
    token.is_sign('-') || (token.is_sign('.') && token.glued && before.len() <= 4)
}

#[cfg(test)]
mod tests {
    use super::super::token::tokens;
    use super::*;

    fn meaning(text: &str) -> Option<Meaning> {
        find(&tokens(text), 0).map(|(entry, _)| entry.meaning)
    }

    #[test]
    fn the_longest_row_wins() {
        assert_eq!(meaning("case depth"), Some(Meaning::Depth));
        assert_eq!(meaning("case-hardened"), Some(Meaning::Case));
        assert_eq!(
            meaning("effective case depth"),
            Some(Meaning::Effective { iso: false })
        );
        assert_eq!(meaning("E.C.D."), Some(Meaning::Effective { iso: false }));
        assert_eq!(meaning("case optional"), Some(Meaning::May));
        assert_eq!(meaning("no case on"), Some(Meaning::MustNot));
        assert_eq!(meaning("carbonitride"), Some(Meaning::OtherProcess));
    }

    #[test]
    fn words_are_whole_words() {
        assert_eq!(meaning("casement"), None);
        assert_eq!(meaning("corelli"), None);
    }

    #[test]
    fn no_row_stands_twice() {
        let mut seen = BTreeMap::new();
        for entry in ENTRIES {
            if let Some(before) = seen.insert(entry.pattern, entry.meaning) {
                assert_eq!(
                    before, entry.meaning,
                    "`{}` means two things",
                    entry.pattern
                );
            }
        }
    }
}
