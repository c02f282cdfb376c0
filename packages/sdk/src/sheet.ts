/**
 * The entry "./sheet": a field sheet written step by step, so that an editor's completion leads through it.
 *
 * It only writes the document; what of it is believable is for `./precheck` or the service to say.
 */
import type * as wire from './generated/types.ts'
import { type Built, type BuiltWithout, type Draft, draftOf } from './sheet-builder/draft.ts'

export { flow, level, power, suction } from './sheet-builder/methods.ts'
export * from './sheet-builder/units.ts'

/** What every sheet begins with. */
export type SheetIdentity = Pick<wire.Sheet, 'plant' | 'tester' | 'testedOn'>

export type RunDraft = Draft<wire.Run, keyof wire.Run>

type AfterIdentity = Exclude<keyof wire.Sheet, keyof SheetIdentity | 'kind'>

/** A sheet of which `Left` isn't filled in yet. */
export type SheetDraft<Left extends keyof wire.Sheet = AfterIdentity> = {
  [K in keyof Pick<wire.Sheet, Left>]-?: (value: NonNullable<wire.Sheet[K]>) => SheetDraft<Exclude<Left, K>>
} & {
  /** Adds a run: one operating condition, held steady while everything was read. */
  run(fill: (run: RunDraft) => Built<wire.Run>): SheetDraft<Exclude<Left, 'runs'>>
} & BuiltWithout<wire.Sheet, Left>

type Openings = {
  readonly [K in wire.Sheet['kind'] as `${K}Sheet`]: (identity: SheetIdentity) => SheetDraft
}

const opening = (kind: wire.Sheet['kind']) => (identity: SheetIdentity) =>
  draftOf({ ...identity, kind }, { run: addRun }) as SheetDraft

function addRun(values: Readonly<Record<string, unknown>>, fill: (run: RunDraft) => Built<wire.Run>) {
  const runs = (values.runs ?? []) as readonly wire.Run[]
  return { ...values, runs: [...runs, fill(draftOf({}) as RunDraft).build()] }
}

const openings: Openings = {
  wellSheet: opening('well'),
  boosterSheet: opening('booster'),
}

export const {
  /**
   * Begins the sheet of a well.
   *
   * ```ts
   * const sheet = wellSheet({ plant: 'AM-01', tester: 'T-01', testedOn: '2026-05-12' })
   *   .standingLevel(level.electricSounder({ reading: feet(118.4) }))
   *   .run((run) => run.pumpingLevel(level.electricSounder({ reading: feet(141.7) })))
   *   .build()
   * ```
   */
  wellSheet,
  /**
   * Begins the sheet of a booster.
   *
   * ```ts
   * const sheet = boosterSheet({ plant: 'AM-05', tester: 'T-02', testedOn: '2026-05-18' })
   *   .run((run) => run.suction(suction.gauge({ reading: psi(18.4), insideDiameterAtTap: inches(12.09) })))
   *   .build()
   * ```
   */
  boosterSheet,
} = openings
