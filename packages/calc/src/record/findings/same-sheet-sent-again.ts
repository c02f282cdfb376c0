import { ourJudgement } from '../../findings/sources.ts'
import type { Comparison } from '../comparison.ts'
import { defineRecordFinding, type Figures } from '../record-finding.ts'

interface Copies extends Figures {
  readonly copies: number
}

const example = (copies: number): Copies => ({ against: [], ofOtherFirm: false, copies })

export const sameSheetSentAgain = defineRecordFinding({
  id: 'same-sheet-sent-again',
  group: 'integrity',
  severity: 'note',
  place: '',
  rule: 'The bytes received are, one by one, those of a test of the same firm that is already stored.',
  why: 'It is most likely a second try after a broken connection, not a second test.',
  compared: ({ record }: Comparison): Copies[] => [
    { against: record.sameBytes, ofOtherFirm: false, copies: record.sameBytes.length },
  ],
  measures: { copies: '1' },
  limits: [],
  raised: ({ copies }) => copies > 0,
  message: ({ copies }) =>
    `This sheet was stored before, byte for byte${copies === 1 ? '' : `, ${copies} times`}; it is kept as a test of its own.`,
  remedy:
    'Withdraw this test if it was a second try; send a try again with its idempotency key. To correct a test, send a revision of it.',
  source: ourJudgement('an exact hash of the bytes; readings of two visits are never the same to the byte'),
  examples: { passes: [example(0)], raises: [example(1), example(2)] },
})
