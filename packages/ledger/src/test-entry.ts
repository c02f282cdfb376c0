/** Reads what the entry of a test says, out of its canonical text. */

/** What verifying needs of the entry of a test or of a revision. */
export interface TestFacts {
  readonly kind: string
  /** Id of the test. */
  readonly subject: string
  readonly firm: string
  readonly at: string
  readonly edition: string
  /** Each over the salt followed by the bytes, in hexadecimal. */
  readonly rawSha256: string
  readonly contextSha256: string
  readonly evaluationSha256: string
}

const MEMBERS = [
  'kind',
  'subject',
  'firm',
  'at',
  'edition',
  'rawSha256',
  'contextSha256',
  'evaluationSha256',
] as const satisfies readonly (keyof TestFacts)[]

/** Members of the entry as an object; undefined if it isn’t one. */
export function entryMembers(text: string): Readonly<Record<string, unknown>> | undefined {
  try {
    const value: unknown = JSON.parse(text)
    const isObject = typeof value === 'object' && value !== null && !Array.isArray(value)
    return isObject ? (value as Readonly<Record<string, unknown>>) : undefined
  } catch {
    return undefined
  }
}

/** What the entry says; undefined if it isn’t that of a test or a revision. */
export function testFacts(text: string): TestFacts | undefined {
  const plain = plainFacts(text)
  if (plain !== undefined) return plain
  const members = entryMembers(text)
  if (members === undefined || members.v !== 1) return undefined
  if (members.kind !== 'test' && members.kind !== 'revision') return undefined
  return MEMBERS.every((name) => typeof members[name] === 'string') ? (members as unknown as TestFacts) : undefined
}

/** What stands between the members of a test’s entry, whose lengths are fixed but for the edition’s. */
const BEFORE = {
  at: '{"at":"',
  contextSha256: '","contextSha256":"',
  edition: '","edition":"',
  evaluationSha256: '","evaluationSha256":"',
  firm: '","firm":"',
  rawSha256: '","kind":"test","rawSha256":"',
  subject: '","subject":"',
  end: '","v":1}',
} as const
const [AT, HASH, ID] = [24, 64, 30]

const AT_FROM = BEFORE.at.length
const CONTEXT_FROM = AT_FROM + AT + BEFORE.contextSha256.length
const EDITION_FROM = CONTEXT_FROM + HASH + BEFORE.edition.length

/** The usual entry, by its places: several times quicker than parsing JSON. */
function plainFacts(text: string): TestFacts | undefined {
  const editionTo = text.indexOf('"', EDITION_FROM)
  const evaluationFrom = editionTo + BEFORE.evaluationSha256.length
  const firmFrom = evaluationFrom + HASH + BEFORE.firm.length
  const rawFrom = firmFrom + ID + BEFORE.rawSha256.length
  const subjectFrom = rawFrom + HASH + BEFORE.subject.length
  const laidOut =
    text.length === subjectFrom + ID + BEFORE.end.length &&
    text.startsWith(BEFORE.at) &&
    text.startsWith(BEFORE.contextSha256, AT_FROM + AT) &&
    text.startsWith(BEFORE.edition, CONTEXT_FROM + HASH) &&
    text.startsWith(BEFORE.evaluationSha256, editionTo) &&
    text.startsWith(BEFORE.firm, evaluationFrom + HASH) &&
    text.startsWith(BEFORE.rawSha256, firmFrom + ID) &&
    text.startsWith(BEFORE.subject, rawFrom + HASH) &&
    text.startsWith(BEFORE.end, subjectFrom + ID)
  if (!laidOut) return undefined
  return {
    kind: 'test',
    at: text.slice(AT_FROM, AT_FROM + AT),
    contextSha256: text.slice(CONTEXT_FROM, CONTEXT_FROM + HASH),
    edition: text.slice(EDITION_FROM, editionTo),
    evaluationSha256: text.slice(evaluationFrom, evaluationFrom + HASH),
    firm: text.slice(firmFrom, firmFrom + ID),
    rawSha256: text.slice(rawFrom, rawFrom + HASH),
    subject: text.slice(subjectFrom, subjectFrom + ID),
  }
}
