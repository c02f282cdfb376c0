/** A test beside the record while it is compared: readings and times are listed once for each test. */
import type { NoisyReading } from '../noisy-readings.ts'
import { comparedReadings } from '../readings-in-common.ts'
import type { AnyEdition } from '../surroundings.ts'
import type { RecordedTest, TestRecord } from './record.ts'
import { type Span, spansOfRuns } from './spans.ts'

export class Comparison {
  readonly record: TestRecord
  readonly edition: AnyEdition
  readonly #readings = new Map<RecordedTest, readonly NoisyReading[]>()
  readonly #spans = new Map<RecordedTest, readonly Span[]>()

  constructor(record: TestRecord, edition: AnyEdition) {
    this.record = record
    this.edition = edition
  }

  get subject(): RecordedTest {
    return this.record.subject
  }

  /** Readings of a test that scatter by nature. */
  readingsOf(test: RecordedTest): readonly NoisyReading[] {
    return once(this.#readings, test, comparedReadings)
  }

  /** When the runs of a test were. */
  spansOf(test: RecordedTest): readonly Span[] {
    return once(this.#spans, test, spansOfRuns)
  }

  /** What figures say of whom they were compared with. */
  with(...others: readonly RecordedTest[]): { readonly against: readonly string[]; readonly ofOtherFirm: boolean } {
    const { firm } = this.subject
    return { against: others.map(({ test }) => test), ofOtherFirm: others.some((other) => other.firm !== firm) }
  }
}

function once<T>(known: Map<RecordedTest, T>, test: RecordedTest, make: (sheet: RecordedTest['sheet']) => T): T {
  let made = known.get(test)
  if (made === undefined) {
    made = make(test.sheet)
    known.set(test, made)
  }
  return made
}

/** How a message names a test: by its day if it is the firm’s own, else without anything that tells of it. */
export const nameOf = (testedOn: string, ofOtherFirm: boolean, place: 'this plant' | 'another plant'): string =>
  ofOtherFirm ? `another test of ${place}` : `your test of ${place} of ${testedOn}`
