//! Words of the pages at the furnace, at the tester, of the book and of signing in.

use super::catalogue;

catalogue! {
    /// Words of the pages at the furnace, of the book and of signing in.
    Floor {
        Run: "Run", "Ejecución", "Lauf", "Passage";
        RunOf: "Run {0} of job {1}", "Ejecución {0} del trabajo {1}", "Lauf {0} des Auftrags {1}", "Passage {0} du travail {1}";
        Practice: "Practice run: it never gets a certificate.", "Ejecución de práctica: nunca recibe certificado.", "Übungslauf: er bekommt nie ein Zeugnis.", "Passage d’exercice : il n’a jamais de certificat.";
        StateReady: "READY", "LISTO", "BEREIT", "PRÊT";
        StateRunning: "RUNNING", "EN MARCHA", "LÄUFT", "EN COURS";
        StateDue: "DUE", "TOCA YA", "FÄLLIG", "À FAIRE";
        StateHold: "HOLD", "ALTO", "HALT", "ARRÊT";
        StateEnded: "ENDED", "TERMINADO", "BEENDET", "TERMINÉ";
        StateAllDone: "ALL STEPS DONE", "PASOS TERMINADOS", "ALLES GETAN", "TOUT EST FAIT";
        LeftHours: "hours:minutes left", "horas:minutos quedan", "Stunden:Minuten übrig", "heures:minutes restantes";
        LeftMinutes: "minutes:seconds left", "minutos:segundos quedan", "Minuten:Sekunden übrig", "minutes:secondes restantes";
        OverHours: "hours:minutes late", "horas:minutos de retraso", "Stunden:Minuten zu spät", "heures:minutes de retard";
        OverMinutes: "minutes:seconds late", "minutos:segundos de retraso", "Minuten:Sekunden zu spät", "minutes:secondes de retard";
        SinceHours: "hours:minutes since", "horas:minutos desde", "Stunden:Minuten seit", "heures:minutes depuis";
        SinceMinutes: "minutes:seconds since", "minutos:segundos desde", "Minuten:Sekunden seit", "minutes:secondes depuis";
        At: "at {0}", "a las {0}", "um {0}", "à {0}";
        From: "from {0}", "desde {0}", "ab {0}", "depuis {0}";
        StepOf: "Step {0} of {1}", "Paso {0} de {1}", "Schritt {0} von {1}", "Étape {0} sur {1}";
        NextStart: "Do step {0}. Enter when it begins.", "Haga el paso {0}. Anote cuándo empieza.", "Schritt {0} ausführen. Den Beginn eintragen.", "Faire l’étape {0}. Noter quand elle commence.";
        NextLoad: "Put the box in. Enter when it goes in.", "Meta la caja. Anote cuándo entra.", "Kasten einsetzen. Eintragen, wann er hineingeht.", "Enfourner la caisse. Noter quand elle entre.";
        NextHot: "Wait until the couple in the pack is hot, then enter it.", "Espere a que el termopar de la caja esté caliente y anótelo.", "Warten, bis das Element in der Packung heiß ist, dann eintragen.", "Attendre que le couple dans la caisse soit chaud, puis le noter.";
        NextSoak: "Let it soak. Then end the soak.", "Deje mantener. Después termine el mantenimiento.", "Halten lassen. Dann das Halten beenden.", "Laisser maintenir. Puis finir le maintien.";
        NextRuns: "Step {0} runs. Enter when it is done.", "El paso {0} está en marcha. Anote cuándo termina.", "Schritt {0} läuft. Eintragen, wenn er fertig ist.", "L’étape {0} est en cours. Noter quand elle est finie.";
        NextQuench: "Start the count before the door opens. Then tap nothing until the work is cold.", "Inicie la cuenta antes de abrir la puerta. Luego no toque nada hasta que la pieza esté fría.", "Zählung starten, bevor die Tür aufgeht. Dann nichts antippen, bis die Teile kalt sind.", "Lancer le décompte avant d’ouvrir la porte. Ensuite ne rien toucher jusqu’au froid.";
        NextQuenching: "Tap nothing now. Quench. Enter it afterwards.", "Ahora no toque nada. Temple. Anótelo después.", "Jetzt nichts antippen. Abschrecken. Danach eintragen.", "Ne rien toucher. Tremper. Noter après.";
        NextLook: "Somebody other than {0} looks at step {1}.", "Otra persona que {0} mira el paso {1}.", "Jemand anders als {0} sieht Schritt {1} an.", "Une autre personne que {0} regarde l’étape {1}.";
        NextFinish: "Close the run.", "Cierre la ejecución.", "Den Lauf abschließen.", "Clore le passage.";
        NextNothing: "Nothing more is to be done here.", "No queda nada que hacer aquí.", "Hier ist nichts mehr zu tun.", "Il n’y a plus rien à faire ici.";
        ActBegin: "It begins now", "Empieza ahora", "Es beginnt jetzt", "Cela commence";
        ActLoad: "The box is in", "La caja está dentro", "Der Kasten ist drin", "La caisse est dedans";
        ActCount: "Start the count", "Iniciar la cuenta", "Zählung starten", "Lancer le décompte";
        ActHot: "The pack is hot", "La caja está caliente", "Die Packung ist heiß", "La caisse est chaude";
        ActDone: "Step {0} is done", "El paso {0} está hecho", "Schritt {0} ist getan", "L’étape {0} est faite";
        ActSoakEnd: "The soak has ended", "Terminó el mantenimiento", "Das Halten ist zu Ende", "Le maintien est fini";
        ActFinish: "Close the run", "Cerrar la ejecución", "Lauf abschließen", "Clore le passage";
        Yes: "Yes, enter it", "Sí, anotar", "Ja, eintragen", "Oui, noter";
        SecondName: "Name of the second person", "Nombre de la segunda persona", "Name der zweiten Person", "Nom de la seconde personne";
        SecondSigns: "I have looked at it", "Lo he mirado", "Ich habe es angesehen", "Je l’ai regardé";
        HoldBehind: "Hold point: somebody else looks behind this step.", "Punto de espera: otra persona mira tras este paso.", "Haltepunkt: nach diesem Schritt sieht jemand anders hin.", "Point d’arrêt : une autre personne regarde après cette étape.";
        SetTo: "Set to {0}", "Ajustar a {0}", "Eingestellt auf {0}", "Réglé à {0}";
        OnSheet: "What the sheet says", "Lo que dice la hoja", "Was auf dem Blatt steht", "Ce que dit la feuille";
        MustSee: "must be seen", "debe verse", "muss zu sehen sein", "doit se voir";
        StopIf: "stop if", "parar si", "anhalten, wenn", "arrêter si";
        Quick: "Enter a reading", "Anotar una lectura", "Ablesung eintragen", "Noter une lecture";
        ReadWhat: "What was read", "Qué se leyó", "Was abgelesen wurde", "Ce qui a été lu";
        ReadPack: "Couple in the pack", "Termopar en la caja", "Element in der Packung", "Couple dans la caisse";
        ReadFurnace: "Furnace", "Horno", "Ofen", "Four";
        ReadTank: "Quench tank", "Tanque de temple", "Abschreckbad", "Bac de trempe";
        ReadTransfer: "Transfer, door to tank", "Traslado, puerta a tanque", "Weg von der Tür zum Bad", "Transfert, porte à bac";
        ReadBefore: "Compound before", "Compuesto antes", "Pulver vorher", "Cément avant";
        ReadAfter: "Compound after", "Compuesto después", "Pulver nachher", "Cément après";
        Value: "Number", "Número", "Zahl", "Nombre";
        UnitWord: "Unit", "Unidad", "Einheit", "Unité";
        Enter: "Enter", "Anotar", "Eintragen", "Noter";
        WentOther: "Something went another way", "Algo fue de otra manera", "Etwas lief anders", "Quelque chose s’est passé autrement";
        WhatHappened: "What happened", "Qué pasó", "Was geschehen ist", "Ce qui s’est passé";
        WhatDone: "What was done about it", "Qué se hizo", "Was dagegen getan wurde", "Ce qui a été fait";
        Clock: "Clock of the steps", "Reloj de los pasos", "Uhr der Schritte", "Horloge des étapes";
        Step: "Step", "Paso", "Schritt", "Étape";
        Begins: "Begins", "Empieza", "Beginnt", "Commence";
        Ends: "Ends", "Termina", "Endet", "Finit";
        Hold: "hold point", "punto de espera", "Haltepunkt", "point d’arrêt";
        Lately: "Entered last", "Últimas anotaciones", "Zuletzt eingetragen", "Dernières notes";
        NothingYet: "Nothing has been entered yet.", "Aún no se ha anotado nada.", "Noch ist nichts eingetragen.", "Rien n’est encore noté.";
        CorrectedIn: "as corrected in entry {0}", "corregido en la anotación {0}", "berichtigt in Eintrag {0}", "corrigé dans la note {0}";
        Afterwards: "entered afterwards", "anotado después", "nachgetragen", "noté après coup";
        NoAlarm: "This screen is no alarm and no safety device. A phone sleeps, loses its network and runs out of charge: set a second timer, and leave over-temperature cut-off and carbon monoxide alarm to their own hardware.", "Esta pantalla no es una alarma ni un dispositivo de seguridad. Un teléfono se duerme, pierde la red y se queda sin carga: ponga un segundo temporizador y deje el corte por sobretemperatura y la alarma de monóxido de carbono a sus propios aparatos.", "Dieser Bildschirm ist kein Alarm und keine Sicherheitseinrichtung. Ein Telefon schläft ein, verliert sein Netz und wird leer: einen zweiten Wecker stellen und Übertemperaturabschaltung und Kohlenmonoxidwarner ihren eigenen Geräten überlassen.", "Cet écran n’est ni une alarme ni un dispositif de sécurité. Un téléphone s’endort, perd son réseau et se décharge : régler un second minuteur et laisser la coupure de surchauffe et l’alarme de monoxyde de carbone à leurs propres appareils.";
        Unsent: "On this device only, not in the book yet: {0}", "Solo en este dispositivo, aún no en el libro: {0}", "Nur auf diesem Gerät, noch nicht im Buch: {0}", "Sur cet appareil seulement, pas encore dans le livre : {0}";
        UnsentWhy: "They are sent by themselves as soon as the book answers. Keep this page open.", "Se envían solas en cuanto el libro responde. Deje esta página abierta.", "Sie gehen von selbst hinaus, sobald das Buch antwortet. Diese Seite offen lassen.", "Elles partent d’elles-mêmes dès que le livre répond. Laisser cette page ouverte.";
        Refused: "not taken by the book", "no aceptada por el libro", "vom Buch nicht angenommen", "refusée par le livre";
        Discard: "Take it off this device", "Quitarla de este dispositivo", "Von diesem Gerät nehmen", "La retirer de cet appareil";
        SendNow: "Send now", "Enviar ahora", "Jetzt senden", "Envoyer";
        LiveLost: "The book does not answer: what is shown may be old. The time goes on.", "El libro no responde: lo mostrado puede ser viejo. El tiempo sigue.", "Das Buch antwortet nicht: die Anzeige kann alt sein. Die Zeit läuft weiter.", "Le livre ne répond pas : l’affichage peut être ancien. Le temps continue.";
        Awake: "The screen is kept awake.", "La pantalla se mantiene encendida.", "Der Bildschirm bleibt an.", "L’écran reste allumé.";
        NotAwake: "This browser lets the screen go dark. Set the device so that it stays on.", "Este navegador deja apagar la pantalla. Ajuste el dispositivo para que quede encendida.", "Dieser Browser lässt den Bildschirm dunkel werden. Das Gerät so einstellen, dass er an bleibt.", "Ce navigateur laisse l’écran s’éteindre. Régler l’appareil pour qu’il reste allumé.";
        WhoWrites: "Who writes", "Quién escribe", "Wer schreibt", "Qui écrit";
        WhoFirst: "Say who writes before anything is entered.", "Diga quién escribe antes de anotar.", "Sagen, wer schreibt, bevor etwas eingetragen wird.", "Dire qui écrit avant de noter.";
        Name: "Name", "Nombre", "Name", "Nom";
        As: "As", "Como", "Als", "En tant que";
        Operator: "operator", "operario", "Bediener", "opérateur";
        Student: "student", "alumno", "Lernender", "élève";
        Instructor: "instructor", "instructor", "Ausbilder", "formateur";
        Inspector: "inspector", "inspector", "Prüfer", "contrôleur";
        Lead: "lead", "responsable", "Leitung", "responsable";
        Keep: "That is me", "Soy yo", "Das bin ich", "C’est moi";
        SignIn: "Sign in", "Entrar", "Anmelden", "Se connecter";
        SignOut: "Sign out", "Salir", "Abmelden", "Se déconnecter";
        Password: "Password", "Contraseña", "Kennwort", "Mot de passe";
        SignInWhy: "This shop's pages ask who you are before they show anything.", "Las páginas de este taller preguntan quién es antes de mostrar nada.", "Die Seiten dieser Werkstatt fragen, wer Sie sind, bevor sie etwas zeigen.", "Les pages de cet atelier demandent qui vous êtes avant de montrer quoi que ce soit.";
        SignInWrong: "Name and password do not belong together.", "El nombre y la contraseña no concuerdan.", "Name und Kennwort gehören nicht zusammen.", "Le nom et le mot de passe ne vont pas ensemble.";
        SignInOften: "Too many tries. Wait a minute, then try again.", "Demasiados intentos. Espere un minuto y pruebe otra vez.", "Zu viele Versuche. Eine Minute warten, dann erneut versuchen.", "Trop d’essais. Attendre une minute, puis réessayer.";
        SignedAs: "Signed in: {0}, {1}", "Conectado: {0}, {1}", "Angemeldet: {0}, {1}", "Connecté : {0}, {1}";
        Runs: "Runs", "Ejecuciones", "Läufe", "Passages";
        NoRuns: "No run has been started yet.", "Aún no se ha iniciado ninguna ejecución.", "Noch ist kein Lauf begonnen.", "Aucun passage n’est commencé.";
        Entries: "Entries, the latest first", "Anotaciones, la última primero", "Einträge, der letzte zuerst", "Notes, la dernière d’abord";
        Number: "No.", "N.º", "Nr.", "N°";
        When: "When", "Cuándo", "Wann", "Quand";
        Who: "Who", "Quién", "Wer", "Qui";
        What: "What", "Qué", "Was", "Quoi";
        Withdrawn: "withdrawn in entry {0}: {1}", "retirada en la anotación {0}: {1}", "zurückgezogen in Eintrag {0}: {1}", "retirée dans la note {0} : {1}";
        Corrected: "corrected in entry {0}: {1}", "corregida en la anotación {0}: {1}", "berichtigt in Eintrag {0}: {1}", "corrigée dans la note {0} : {1}";
        CheckWhole: "The chain is whole: {0} entries, last {1}.", "La cadena está completa: {0} anotaciones, última {1}.", "Die Kette ist ganz: {0} Einträge, letzter {1}.", "La chaîne est entière : {0} notes, dernière {1}.";
        CheckBroken: "The chain is broken.", "La cadena está rota.", "Die Kette ist gebrochen.", "La chaîne est rompue.";
        Approve: "Approve", "Aprobar", "Freigeben", "Approuver";
        Earlier: "Earlier entries", "Anotaciones anteriores", "Frühere Einträge", "Notes antérieures";
        State: "State", "Estado", "Stand", "État";
        StartedAt: "Started", "Iniciada", "Begonnen", "Commencé";
    }
}

/// The word for a role.
pub(crate) const fn role(role: casewright_records::Role) -> Floor {
    use casewright_records::Role;
    match role {
        Role::Operator => Floor::Operator,
        Role::Student => Floor::Student,
        Role::Instructor => Floor::Instructor,
        Role::Inspector => Floor::Inspector,
        Role::Lead => Floor::Lead,
    }
}
