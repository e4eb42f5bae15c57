/** What the page says of keeping. */

/** "27 November, 10:42". @param {number} at ms since 1970 @param {string} [zone] the test's */
export function moment(at, zone) {
  return new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "long", hour: "2-digit", minute: "2-digit", timeZone: zone }).format(at).replace(" at ", ", ");
}

/** "10:42". @param {number} at */
export function hour(at) {
  return new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit" }).format(at);
}

export const LOOKS = "This work is open in another tab, where it is changed and kept; here it can only be looked at. When the other tab closes, this one goes on by itself.";
export const TAKEN_OVER = "The other tab has closed: the work goes on here, as it was left there.";

/** Why nothing is kept, and what to do. @param {Error} error */
export function trouble(error) {
  switch (error.name) {
    case "QuotaExceededError": return "The browser’s storage is full, so the last changes are not kept here: save the work as a file now.";
    case "NotFoundError":
    case "SecurityError":
    case "InvalidStateError":
      return "This browser keeps nothing for this page (a private window, or storage that is turned off): save the work as a file before you close it.";
    case "VersionError":
      return "A newer Stepbite keeps the work in this browser now, and this page is the one before it: save the work as a file, then reload the page.";
    case "TimeoutError":
      return "This browser’s storage does not answer, so nothing is kept here: save the work as a file before you close the page, and start the browser again.";
    default: return `The last changes could not be kept in this browser (${error.message || error.name}): save the work as a file now.`;
  }
}
