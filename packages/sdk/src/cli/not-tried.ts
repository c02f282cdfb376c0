/** Something that the caller has to mend before a command can do its work. */
export class NotTried extends Error {}
