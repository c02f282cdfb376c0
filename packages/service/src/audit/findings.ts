/** What an audit may find: a closed list of codes, each with a sentence for an auditor. */

export const auditCodes = {
  unreadable: 'The database itself can not read what is stored here.',
  'entry-gap': 'An entry of the ledger is missing: the indexes are not without gaps.',
  'entry-not-its-hash': 'The bytes of an entry and its leaf hash do not belong together.',
  'entry-malformed': 'An entry is not spelled as the service spells entries.',
  'entry-columns': 'What stands beside an entry is not what the entry says.',
  'entry-without-row': 'The ledger says that something was recorded which is not there.',
  'entry-twice': 'The ledger records the same thing more than once.',
  'head-wrong': 'The next free index is not the number of entries.',
  'tree-wrong': 'How far the tree is said to reach, or its subtrees, are not those of the entries.',
  'tile-wrong': 'A tile of the tree does not hold the hashes of the entries.',
  'tile-missing': 'A full tile of the tree is missing.',
  'tile-surplus': 'A tile is stored that the tree does not have.',
  'checkpoint-wrong': 'A checkpoint does not say what its row says, or can not be read.',
  'checkpoint-not-of-these-entries': 'A signed checkpoint has another root than the entries that are stored.',
  'checkpoint-unsigned': 'A checkpoint is not signed by the key that was in force, or holds a signature that is none.',
  'checkpoint-missing': 'The tree reaches further than the newest checkpoint, or less far.',
  'key-unknown': 'A key of the log is not one of the keys that the auditor brought.',
  'key-order': 'An entry that changes the signing key does not follow the one before it.',
  'test-without-entry': 'A test is stored that the ledger does not know.',
  'test-not-as-received': 'Sheet or salt of a test are not those whose hash stands in the ledger.',
  'test-hash-wrong': 'A hash stored with a test is not that of the bytes.',
  'test-not-as-entered': 'A member of a test is not what its entry in the ledger says.',
  'test-not-as-evaluated': 'A figure, a finding or the soundness of a test is not what its sheet and context give.',
  'test-not-as-on-sheet': 'Day, plant or tester of a test are not those of its sheet and context.',
  'evaluation-differs': 'Sheet and context, evaluated again, do not give the evaluation that was recorded.',
  'edition-unknown': 'A test names a method edition that is not here, so that it can not be evaluated again.',
  'context-missing': 'The records that a test rests on are not there.',
  'context-changed': 'The records that a test rests on are not those whose hash stands in the ledger.',
  'context-hash-wrong': 'The hash of a context is not that of its bytes.',
  'context-surplus': 'A context is stored that no test rests on.',
  'note-without-entry': 'A note is stored that the ledger does not know.',
  'note-changed': 'A note is not what its entry in the ledger says.',
  'note-erased-unrecorded': 'A note was erased, or is there again, and the ledger does not say so.',
  'closure-without-entry': 'A test is said to be superseded or withdrawn, and the ledger does not say so.',
  'closure-changed': 'That a test was superseded or withdrawn is not stored as its entry says.',
  'decision-without-entry': 'A decision on a finding is stored that the ledger does not know.',
  'decision-changed': 'A decision on a finding is not what its entry in the ledger says.',
  'decision-erased-unrecorded':
    'The words of a decision were erased, or are there again, and the ledger does not say so.',
  'comparison-without-entry': 'A test is stored as compared with the record, and the ledger does not say so.',
  'comparison-changed':
    'When a test was compared with the record, or what was found, is not what its entry in the ledger says.',
  'comparison-left-out': 'A test was not compared with the record, though later ones were.',
  'comparison-marks-wrong': 'The marks by which readings that were used before are found are not those of the sheets.',
  'rule-set-without-entry': 'A rule set is stored as published that the ledger does not know.',
  'rule-set-changed': 'A published rule set, or who wrote and published it, is not what its entry in the ledger says.',
  'quality-draw-without-entry': 'A draw of quality visits is stored that the ledger does not know.',
  'quality-draw-changed': 'A draw of quality visits, or who announced and drew it, is not what its entries say.',
  'quality-step-without-entry': 'A step of a quality visit is stored that neither a draw nor the ledger knows.',
  'quality-step-changed': 'A step of a quality visit is not what is recorded of it.',
  'document-changed': 'A kept evaluation is not the one that was recorded.',
  'document-surplus': 'An evaluation is kept of a test that is not there.',
  'key-of-nothing': 'A used idempotency key names a test that is not there, or that already has one.',
  'key-wrong': 'What is stored with an idempotency key does not belong to the test it names.',
  'migration-unknown': 'The database was not made by the files of this version.',
} as const

export type AuditCode = keyof typeof auditCodes

/** A place in the database. */
export interface Place {
  readonly table: string
  /** Primary key, parts joined by `/`; of entries also a range `first..last`. Absent: the table as a whole. */
  readonly row?: string
  readonly column?: string
}

export interface AuditFinding extends Place {
  readonly code: AuditCode
  /** What is wrong, for an auditor. */
  readonly message: string
  /** Further places where the fault may lie. */
  readonly or?: readonly Place[]
}

/** Takes findings as they come. */
export type Report = (finding: AuditFinding) => void
