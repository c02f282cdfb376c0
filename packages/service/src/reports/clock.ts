/** Times of a visit as people write them: without the day and the zone that all of them share. */
import type { Sheet } from '@liftledger/calc'

const INSTANT = /^(\d{4}-\d{2}-\d{2})[Tt](\d{2}:\d{2})(:\d{2}(?:\.\d+)?)([Zz]|[+-]\d{2}:\d{2})$/

export interface Clock {
  /** A moment of the visit; any other text as it is. */
  readonly told: (text: string) => string
  /** What is left out of the times; absent where none is told without it. */
  readonly note: string | undefined
}

const zoneInWords = (zone: string): string => (/^(z|[+-]00:00)$/i.test(zone) ? 'UTC' : `UTC${zone.replace('-', '−')}`)

/** Seconds are told where they are not zero. */
const timeOf = (minutes: string, seconds: string): string =>
  /^:00(\.0+)?$/.test(seconds) ? minutes : minutes + seconds

export function clockOf(sheet: Pick<Sheet, 'testedOn'>): Clock {
  const first = JSON.stringify(sheet).match(/"\d{4}-\d{2}-\d{2}[Tt][\d:.]+([Zz]|[+-]\d{2}:\d{2})"/)?.[1]
  return {
    told: (text) => {
      const parts = INSTANT.exec(text)
      if (parts === null) return text
      const [, day, minutes, seconds, zone] = parts as unknown as [string, string, string, string, string]
      const time = timeOf(minutes, seconds)
      return day === sheet.testedOn && zone === first ? time : `${day} ${time} ${zoneInWords(zone)}`
    },
    note:
      first === undefined
        ? undefined
        : `Times are of ${sheet.testedOn}, ${zoneInWords(first)}, unless a day stands beside them.`,
  }
}
