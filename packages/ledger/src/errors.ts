/** Why something presented as proof proves nothing: a closed list of codes, each with a sentence for an auditor. */

/** What each code means, whatever the place. */
export const verificationCodes = {
  'hash-malformed': 'A hash is not 32 bytes long.',
  'size-malformed': 'A size or an index is not a whole number that a log can have.',
  'index-outside-tree': 'The entry is said to stand behind the end of the tree.',
  'proof-length': 'The proof holds more or fewer hashes than this place in this tree needs.',
  'inclusion-wrong': 'The proof does not lead from the entry to the root of the tree.',
  'consistency-wrong': 'The later tree does not continue the earlier one.',
  'consistency-from-empty': 'Every tree continues an empty one: such a proof says nothing.',
  'tile-malformed': 'A tile of the tree has not the length or the place that it must have.',
  'entries-malformed': 'A bundle of entries is cut short or runs on.',
  'key-malformed': 'A verifier key is not spelled as one.',
  'note-malformed': 'A signed note is not spelled as one.',
  'checkpoint-malformed': 'The text of a checkpoint is not spelled as one.',
  'receipt-malformed': 'A receipt is not spelled as one.',
  'signature-wrong': 'A signature was not made by the key it names, or not over this text.',
  'key-unknown': 'None of the given keys signed.',
  'log-signature-missing': 'Witnesses signed, but not the log itself under a given key.',
  'bundle-malformed': 'The file is not spelled as a bundle: it was cut, changed or is something else.',
  'bundle-damaged': 'The head of the file is not as it was written.',
  'checkpoint-of-another-log': 'The file is about another log than the checkpoint that was kept.',
  'consistency-missing': 'The file does not show that its log continues the checkpoint that was kept.',
  'entry-changed': 'An entry is not the one that stands in the log.',
  'entry-malformed': 'An entry of the log is not spelled as one.',
  'raw-changed': 'The sheet is not the one that was received.',
  'context-changed': 'The records that the test leans on are not the ones it was evaluated with.',
  'findings-changed': 'What comparing the test with the record found is not what was recorded.',
  'findings-missing': 'What comparing the test with the record found is not in the file.',
  'edition-unknown': 'The test was evaluated under a method edition that is not known here.',
  'replay-failed': 'The calculation does not come to an end on this sheet.',
  'evaluation-differs': 'The calculation gives something else than was recorded.',
} as const

export type VerificationCode = keyof typeof verificationCodes

/** Something does not prove what it is meant to. The message says what and where. */
export class VerificationError extends Error {
  readonly code: VerificationCode
  constructor(code: VerificationCode, message: string) {
    super(message)
    this.name = 'VerificationError'
    this.code = code
  }
}
