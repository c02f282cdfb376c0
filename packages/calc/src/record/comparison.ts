/** A test beside the record while it is compared: readings are listed once for each test. */
import { type NoisyReading, noisyReadings } from '../noisy-readings.ts'
import type { AnyEdition } from '../surroundings.ts'
import type { RecordedTest, TestRecord } from './record.ts'

export class Comparison {
  readonly record: TestRecord
  readonly edition: AnyEdition
  readonly #readings = new Map<RecordedTest, readonly NoisyReading[]>()

  constructor(record: TestRecord, edition: AnyEdition) {
    this.record = record
    this.edition = edition
  }

  get subject(): RecordedTest {
    return this.record.subject
  }

  /** Readings of a test that scatter by nature. */
  readingsOf(test: RecordedTest): readonly NoisyReading[] {
    let readings = this.#readings.get(test)
    if (readings === undefined) {
      readings = noisyReadings(test.sheet)
      this.#readings.set(test, readings)
    }
    return readings
  }

  /** What figures say of whom they were compared with. */
  with(...others: readonly RecordedTest[]): { readonly against: readonly string[]; readonly ofOtherFirm: boolean } {
    const { firm } = this.subject
    return { against: others.map(({ test }) => test), ofOtherFirm: others.some((other) => other.firm !== firm) }
  }
}

/** How a message names a test: by its day if it is the firm’s own, else without anything that tells of it. */
export const nameOf = (testedOn: string, ofOtherFirm: boolean, place: 'this plant' | 'another plant'): string =>
  ofOtherFirm ? `another test of ${place}` : `your test of ${place} of ${testedOn}`
