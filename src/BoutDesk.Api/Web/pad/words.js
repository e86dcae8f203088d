// @ts-check
/** The texts of the pad in the reader's language. They are looked up by their English form, as those of the pages are. */

/** The languages by their code, each under the name it calls itself. */
export const languages = { en: 'English', fr: 'Français' };
/** @typedef {keyof typeof languages} Language */

// The pages of the service read and write the same cookie.
const cookie = '.AspNetCore.Culture';

/** @type {Record<string, string>} */
const french = {
  "Referee's pad": 'Tablette d’arbitre',
  'Bouts': 'Matchs',
  'left': 'gauche',
  'right': 'droite',
  'yellow': 'jaune',
  'red': 'rouge',
  'black': 'noir',
  'Pause': 'Pause',
  'Break': 'Pause à mi-match',
  'Medical break': 'Arrêt médical',
  'not known yet': 'pas encore connu',
  'double touch': 'coup double',
  '{0} card': 'carton {0}',
  '{0} card {1}': 'carton {0} {1}',
  'time': 'temps écoulé',
  'medical break {0}': 'arrêt médical {0}',
  'priority {0}': 'priorité {0}',
  'touch {0}': 'touche {0}',
  'Pool {0}, bout {1}': 'Poule {0}, match {1}',
  '{0}: {1}, {2}': '{0} : {1}, {2}',
  '{0}, pool {1}': '{0}, poule {1}',
  '{0}, bout {1}': '{0}, match {1}',
  'Final': 'Finale',
  'Semi-final': 'Demi-finale',
  'Quarter-final': 'Quart de finale',
  'Table of {0}': 'Tableau de {0}',
  '{0} not sent yet': '{0} à envoyer',
  'All sent': 'Tout est envoyé',
  'No connection. Go on; the phone keeps it.': 'Pas de réseau. Continuez ; le téléphone garde tout.',
  'No connection': 'Pas de réseau',
  'One moment…': 'Un instant…',
  'The service does not answer. Check the Wi-Fi of the hall; the pad tries again by itself.': 'Le service ne répond pas. Vérifiez le Wi-Fi de la salle ; la tablette réessaie d’elle-même.',
  'Scan the code on the sheet of your pool or strip with the camera of this phone.': 'Scannez le code de la feuille de votre poule ou piste avec l’appareil photo de ce téléphone.',
  'No camera? Type or paste the address below the code:': 'Pas d’appareil photo ? Tapez ou collez l’adresse sous le code :',
  'Open': 'Ouvrir',
  'This code is for the armourer, not for a strip.': 'Ce code est pour l’armurier, pas pour une piste.',
  'This code is for the desk, not for a strip.': 'Ce code est pour la table, pas pour une piste.',
  "Ask the desk for a referee's code, and scan that.": 'Demandez à la table un code d’arbitre et scannez-le.',
  'This code ended at {0}.': 'Ce code a pris fin à {0}.',
  'This code does not hold, or no longer.': 'Ce code n’est pas valable, ou ne l’est plus.',
  'Ask the desk for a new one, and scan it with this phone.': 'Demandez-en un nouveau à la table et scannez-le avec ce téléphone.',
  'What is not sent stays here and is sent then. You can go on scoring meanwhile.': 'Ce qui n’est pas envoyé reste ici et partira alors. Vous pouvez continuer à compter.',
  'Try again': 'Réessayer',
  'This code is not for {0}. What you scored there stays here. Ask the desk for a code of that pool or strip, and scan it.': 'Ce code n’est pas pour {0}. Ce que vous y avez compté reste ici. Demandez à la table un code de cette poule ou piste et scannez-le.',
  'This code is not for this bout. What you score stays here. Ask the desk for a code of this pool or strip, and scan it.': 'Ce code n’est pas pour ce match. Ce que vous comptez reste ici. Demandez à la table un code de cette poule ou piste et scannez-le.',
  '{0} has two versions. Look at both': '{0} existe en deux versions. Les comparer',
  'Next bout': 'Prochain match',
  'Next': 'Ensuite',
  'All bouts of this code have a result. Thank you. Ask the desk what comes next.': 'Tous les matchs de ce code ont un résultat. Merci. Demandez la suite à la table.',
  'There is no bout on this code yet. It appears here as soon as the desk puts one on.': 'Ce code n’a pas encore de match. Il apparaîtra ici dès que la table en placera un.',
  'Then': 'Puis',
  'All bouts ({0} is open)': 'Tous les matchs ({0} à tirer)',
  'All bouts ({0} are open)': 'Tous les matchs ({0} à tirer)',
  'does not count': 'ne compte pas',
  'Keep this page open: without https it cannot be opened again while the network is away, and the screen may go dark.': 'Gardez cette page ouverte : sans https elle ne se rouvre pas sans réseau, et l’écran peut s’éteindre.',
  'Confirm the result': 'Confirmer le résultat',
  'Go on at {0}': 'Reprendre à {0}',
  'Go to this bout': 'Aller à ce match',
  'left-handed': 'gaucher',
  'right-handed': 'droitier',
  '{0}, to {1}': '{0}, en {1} touches',
  'priority': 'priorité',
  'extra minute': 'minute supplémentaire',
  'period {0} of {1}': 'période {0} sur {1}',
  'fencing time': 'temps de match',
  'The fencers are not known yet. This bout waits for the ones before it.': 'Les tireurs ne sont pas encore connus. Ce match attend les précédents.',
  'This bout does not count. Go to the next one.': 'Ce match ne compte pas. Passez au suivant.',
  'Confirmed: {0} wins {1}.': 'Confirmé : {0} gagne {1}.',
  'Decided without fencing: {0} goes on.': 'Décidé sans match : {0} est qualifié.',
  'Decided without fencing.': 'Décidé sans match.',
  'Is it wrong? Only the desk can change it now. Go there and name this bout.': 'Une erreur ? Seule la table peut la corriger maintenant. Allez-y et nommez ce match.',
  'To the next bout': 'Au prochain match',
  '{0} wins {1}.': '{0} gagne {1}.',
  'Show it to both fencers': 'Montrer aux deux tireurs',
  'Time at a level score. Draw who has priority in the extra minute.': 'Temps écoulé à égalité. Tirez au sort la priorité pour la minute supplémentaire.',
  '{0} drew it': 'Tirée par la {0}',
  'Draw by lot': 'Tirer au sort',
  'Touch {0}': 'Touche {0}',
  'Both': 'Double',
  'Cards': 'Cartons',
  'More': 'Plus',
  'Halt': 'Halte',
  'Start': 'Allez',
  'Undo': 'Annuler',
  'wins': 'gagne',
  'Fencers, is this right? Once it is confirmed only the desk can change it.': 'Tireurs, est-ce juste ? Une fois confirmé, seule la table peut le changer.',
  'No, go back and correct': 'Non, revenir et corriger',
  'Yes, confirm': 'Oui, confirmer',
  '{0}: two versions': '{0} : deux versions',
  'This bout is no longer on the programme.': 'Ce match n’est plus au programme.',
  'Meanwhile the desk or another phone confirmed this bout.': 'Entre-temps la table ou un autre téléphone a confirmé ce match.',
  'Meanwhile this bout was taken out: it does not count.': 'Entre-temps ce match a été retiré : il ne compte pas.',
  'Meanwhile the desk or another phone changed this bout.': 'Entre-temps la table ou un autre téléphone a changé ce match.',
  'At the desk': 'À la table',
  'confirmed': 'confirmé',
  'nothing': 'rien',
  'On this phone': 'Sur ce téléphone',
  'not sent: {0}': 'pas envoyé : {0}',
  'result': 'résultat',
  'undo': 'annulation',
  'clock': 'chronomètre',
  'Not sure? Decide later, and show this at the desk. Nothing is lost until you choose.': 'Pas sûr ? Décidez plus tard et montrez ceci à la table. Rien n’est perdu avant votre choix.',
  'Decide later': 'Décider plus tard',
  'Add mine to the desk’s': 'Ajouter la mienne à celle de la table',
  'makes {0}': 'donne {0}',
  'Take the desk’s version': 'Prendre la version de la table',
  'drops {0} entry of this phone': 'abandonne {0} saisie de ce téléphone',
  'drops {0} entries of this phone': 'abandonne {0} saisies de ce téléphone',
  'last: {0}': 'dernier : {0}',
  'nothing recorded': 'rien de noté',
  'Cancel': 'Fermer',
  'Card for an offence of': 'Carton pour une faute de',
  'Group {0}': 'Groupe {0}',
  'What for (may stay empty)': 'Motif (facultatif)',
  'Black card': 'Carton noir',
  '{0} is then out of the competition, and {1} wins this bout. Only the desk can lift it.': '{0} est alors exclu de l’épreuve, et {1} gagne ce match. Seule la table peut le lever.',
  'Show the black card': 'Montrer le carton noir',
  'Time has run out': 'Le temps est écoulé',
  'Set the clock': 'Régler le chronomètre',
  'Medical break {0}: {1}': 'Arrêt médical {0} : {1}',
  'Minutes': 'Minutes',
  'Seconds': 'Secondes',
  'Set': 'Régler',
  'The clock is at zero': 'Le chronomètre est à zéro',
  'Not yet: set the clock': 'Pas encore : régler le chronomètre',
  'The score is level: priority is drawn, and a minute is fenced.': 'Égalité : la priorité est tirée au sort, et l’on tire une minute.',
  'The period ends; a minute of pause follows.': 'La période prend fin ; une minute de pause suit.',
  'This phone could not keep that ({0}). Look whether it is shown; if not, note it on paper and tell the desk.': 'Ce téléphone n’a pas pu garder cela ({0}). Voyez si c’est affiché ; sinon notez-le sur papier et dites-le à la table.',
  'Second tap ignored.': 'Second appui ignoré.',
  'Double touch: it does not count at this score.': 'Coup double : il ne compte pas à ce score.',
  'Touch for both. {0}': 'Touche pour les deux. {0}',
  'Touch {0}. {1}': 'Touche {0}. {1}',
  'Taken back: {0}.': 'Repris : {0}.',
  'Clock set.': 'Chronomètre réglé.',
  'Time.': 'Temps écoulé.',
  'Priority {0}: {1}.': 'Priorité {0} : {1}.',
  '{0} is confirmed: {1}.': '{0} : confirmé, {1}.',
  'Another device has changed this bout. Score it on one phone only; look at the score before you go on.': 'Un autre appareil a changé ce match. Comptez sur un seul téléphone ; vérifiez le score avant de continuer.',
  'The time of this phone was changed. The fencing clock goes on as it was. Compare it, and set it under More if it is wrong.': 'L’heure de ce téléphone a été changée. Le chronomètre continue comme avant. Comparez-le, et réglez-le sous Plus s’il est faux.',
  'This phone slept for {0} s while the clock ran, or its time was changed. Halt, and set the clock under More if it is wrong.': 'Ce téléphone a dormi {0} s pendant le match, ou son heure a été changée. Arrêtez, et réglez le chronomètre sous Plus s’il est faux.',
  'This browser keeps nothing, so the pad cannot work in it. Leave private browsing, or use another browser.': 'Ce navigateur ne garde rien, la tablette ne peut donc pas y marcher. Quittez la navigation privée ou prenez un autre navigateur.',
  // The titles of what the service can refuse to a pad.
  'Something in the request is not right': 'La demande contient une erreur',
  'There is no such thing': 'Cela n’existe pas',
  'Somebody changed it meanwhile': 'Quelqu’un l’a changé entre-temps',
  'The fencers are not known yet': 'Les tireurs ne sont pas encore connus',
  'The bout is over': 'Le match est terminé',
  'The bout does not count': 'Le match ne compte pas',
  'There is nothing to take back': 'Il n’y a rien à reprendre',
  'There are no double touches at this weapon': 'Il n’y a pas de coup double à cette arme',
  'The fencer has a card already': 'Le tireur a déjà un carton',
  'Priority must be drawn first': 'La priorité doit d’abord être tirée au sort',
  'Priority is not due': 'Il n’y a pas lieu de tirer la priorité',
  'Only the desk can change that now': 'Seule la table peut encore le changer',
  'The round is closed': 'Le tour est clos',
  'Something else must come first': 'Autre chose doit venir d’abord',
};

/** @param {string | undefined} code @returns {code is Language} */
const spoken = code => code !== undefined && code in languages;

/** The language chosen on this device, else the browser's, else English. */
function found() {
  const kept = new RegExp(`(?:^|; )${cookie}=c%3D(\\w+)`).exec(document.cookie)?.[1];
  return spoken(kept) ? kept : navigator.languages.map(name => name.slice(0, 2)).find(spoken) ?? 'en';
}

/** @type {Language} */
let chosen = found();

/** The language in use. */
export const language = () => chosen;

/** Chooses a language for all pages on this device. @param {Language} code */
export function speak(code) {
  chosen = code;
  document.cookie = `${cookie}=c%3D${code}%7Cuic%3D${code}; path=/; max-age=31536000; samesite=lax`;
}

/** The text in the reader's language, with values put in for {0}, {1} and so on. @param {string} english @param {...any} values */
export const t = (english, ...values) =>
  (chosen === 'fr' ? french[english] ?? english : english).replace(/\{(\d)\}/g, (_, index) => String(values[index]));

/** One of two texts by number, the number put in for {0}. @param {number} number @param {string} one @param {string} many */
export const n = (number, one, many) => t(number === 1 || (number === 0 && chosen === 'fr') ? one : many, number);
