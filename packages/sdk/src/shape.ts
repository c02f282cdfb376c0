/**
 * Whether a value has the shape of a schema, told in the words the service uses.
 *
 * Interpreted, not compiled, so that it also runs in pages whose security policy forbids making code from text.
 */
import { SHEET_PATTERN_PHRASES } from '@liftledger/calc'
import type { TSchema } from 'typebox'
import type { TLocalizedValidationError } from 'typebox/error'
import Format from 'typebox/format'
import { Check, Errors } from 'typebox/schema'
import { Settings } from 'typebox/system'
import type { ProblemItem } from './errors.ts'

type Schema = Readonly<Record<string, unknown>>

const ERRORS_MAX = 500
const ITEMS_MAX = 50

/** Places where the value differs from the schema; empty if it has the shape. */
export function shapeProblems(schema: TSchema, value: unknown): ProblemItem[] {
  return byOurRules(() => {
    if (Check(schema, value)) return []
    const [, errors] = Errors(schema, value)
    const items = ofChosenBranches(errors, schema, value).flatMap((error) =>
      tell(error, at(schema, error.schemaPath.slice(1)), at(value, error.instancePath)),
    )
    // A missing `method` is told by the object and by the choice; the choice, which comes later, knows what is allowed.
    return [...new Map(items.map((item) => [`${item.pointer} ${item.code}`, item])).values()].slice(0, ITEMS_MAX)
  })
}

/**
 * The library's settings are the process's; ours hold for one synchronous look.
 *
 * It stops at 8 errors, of which several may speak of one mistake. And it takes what RFC 9557 adds to a time,
 * a small `t`, a leap second and days of the year 0, all of which the service refuses.
 */
function byOurRules<T>(look: () => T): T {
  const { maxErrors } = Settings.Get()
  const isDate = Format.Get('date') ?? Format.IsDate
  const isDateTime = Format.Get('date-time') ?? Format.IsDateTime
  const isPlain = (text: string) => /^\d{4}-\d\d-\d\dT\d\d:\d\d:[0-5]\d(\.\d+)?(Z|[+-]\d\d:\d\d)$/i.test(text)
  Settings.Set({ maxErrors: ERRORS_MAX })
  Format.Set('date', (text) => !text.startsWith('0000') && isDate(text))
  Format.Set('date-time', (text) => isPlain(text) && text.charAt(10) === 'T' && isDateTime(text))
  try {
    return look()
  } finally {
    Format.Set('date', isDate)
    Format.Set('date-time', isDateTime)
    Settings.Set({ maxErrors })
  }
}

/** Of a choice by `method`, only what concerns the method chosen; all other branches fail by their nature. */
function ofChosenBranches(errors: readonly TLocalizedValidationError[], schema: TSchema, value: unknown) {
  const choices = errors.filter((error) => error.keyword === 'oneOf')
  return errors.filter((error) => {
    if (error.keyword === 'oneOf') return branchOf(error, schema, value) === -1
    return choices.every((choice) => {
      const inside = `${choice.schemaPath}/oneOf/`
      if (!error.schemaPath.startsWith(inside) || !within(error.instancePath, choice.instancePath)) return true
      return error.schemaPath.slice(inside.length).split('/')[0] === String(branchOf(choice, schema, value))
    })
  })
}

const within = (pointer: string, outer: string): boolean => pointer === outer || pointer.startsWith(`${outer}/`)

/** Index of the branch whose constant the value has; -1 for none, -2 if it can have none because it is no object. */
function branchOf(choice: TLocalizedValidationError, schema: TSchema, value: unknown): number {
  const node = at(schema, choice.schemaPath.slice(1))
  const chosen = at(value, choice.instancePath)
  if (!isRecord(chosen)) return -2
  return branches(node).findIndex((branch) => allowedTags(branch, tagOf(node)).includes(String(chosen[tagOf(node)])))
}

const tagOf = (node: unknown): string => String(record(record(node).discriminator).propertyName ?? 'method')

const branches = (node: unknown): readonly unknown[] => {
  const { oneOf } = record(node)
  return Array.isArray(oneOf) ? oneOf : []
}

const allowedTags = (branch: unknown, tag: string): string[] => {
  const schema = record(record(record(branch).properties)[tag])
  return Array.isArray(schema.enum) ? schema.enum.map(String) : [String(schema.const)]
}

function tell(error: TLocalizedValidationError, node: unknown, found: unknown): ProblemItem[] {
  const pointer = error.instancePath
  const parent = record(node)
  switch (error.keyword) {
    // Says again of each member what `additionalProperties` says of all.
    case 'boolean':
      return []
    case 'required':
      return error.params.requiredProperties.map((name) => {
        const about = record(record(parent.properties)[name]).description
        const message = `'${name}' is required${typeof about === 'string' && about !== '' ? `: ${about}` : '.'}`
        return { pointer: `${pointer}/${escaped(name)}`, code: 'missing-member', message }
      })
    case 'additionalProperties': {
      const allowed = Object.keys(record(parent.properties))
      const unknown = error.params.additionalProperties
      return unknown.map((name) =>
        item(`${pointer}/${escaped(name)}`, 'unknown-field', `No such field: '${name}'.`, allowed),
      )
    }
    case 'oneOf': {
      const tag = tagOf(node)
      const allowed = branches(node).flatMap((branch) => allowedTags(branch, tag))
      const given = record(found)[tag]
      if (given === undefined)
        return [
          item(`${pointer}/${tag}`, 'missing-member', `'${tag}' is required; it says which form this is.`, allowed),
        ]
      const code = typeof given === 'string' ? 'unknown-value' : 'wrong-type'
      return [item(`${pointer}/${tag}`, code, `${shown(given)} is not a ${tag} here.`, allowed)]
    }
    case 'enum':
    case 'const': {
      const allowed =
        error.keyword === 'enum' ? error.params.allowedValues.map(String) : [String(error.params.allowedValue)]
      const isUnit = pointer.endsWith('/unit')
      const what = isUnit ? 'a unit that goes here' : 'one of the values allowed here'
      return [item(pointer, isUnit ? 'unknown-unit' : 'unknown-value', `${shown(found)} is not ${what}.`, allowed)]
    }
    case 'type': {
      const allowed = [error.params.type].flat().map(String)
      return [item(pointer, 'wrong-type', `Must be ${allowed.join(' or ')}, not ${shown(found)}.`, allowed)]
    }
    case 'minimum':
    case 'maximum':
    case 'exclusiveMinimum':
    case 'exclusiveMaximum':
    case 'multipleOf':
      return [item(pointer, 'number-out-of-range', `${shown(found)} is out of range: ${error.message}.`)]
    case 'minLength':
    case 'maxLength':
    case 'minItems':
    case 'maxItems':
    case 'uniqueItems':
      return [item(pointer, 'wrong-length', `${shown(found)} ${error.message}.`)]
    case 'pattern':
    case 'format':
      return [item(pointer, 'wrong-format', `${shown(found)} has the wrong form: ${formOf(parent)}.`)]
    default:
      return [item(pointer, 'wrong-shape', `${shown(found)} ${error.message}.`)]
  }
}

const item = (
  pointer: string,
  code: ProblemItem['code'],
  message: string,
  allowed?: readonly string[],
): ProblemItem => ({
  pointer,
  code,
  message,
  ...(allowed && { allowed: [...allowed] }),
})

function formOf({ format, pattern }: Schema): string {
  if (format === 'date') return 'a date like 2026-05-04'
  if (format === 'date-time') return 'a time with offset like 2026-05-04T09:30:00-07:00, seconds from 00 to 59'
  return SHEET_PATTERN_PHRASES[String(pattern)] ?? `text of the form ${String(pattern ?? format)}`
}

function shown(value: unknown): string {
  if (typeof value === 'string') return `'${value.length > 60 ? `${value.slice(0, 59)}…` : value}'`
  if (Array.isArray(value)) return `an array of ${value.length}`
  if (typeof value === 'object' && value !== null) return 'an object'
  return typeof value === 'number' ? `the number ${value}` : String(value)
}

/** What stands at a JSON Pointer. */
function at(value: unknown, pointer: string): unknown {
  const parts = pointer.split('/').slice(1)
  return parts.reduce<unknown>((here, part) => {
    const name = part.replaceAll('~1', '/').replaceAll('~0', '~')
    return typeof here === 'object' && here !== null ? (here as Schema)[name] : undefined
  }, value)
}

const escaped = (name: string): string => name.replaceAll('~', '~0').replaceAll('/', '~1')

const isRecord = (value: unknown): value is Schema =>
  typeof value === 'object' && value !== null && !Array.isArray(value)

const record = (value: unknown): Schema => (isRecord(value) ? value : {})
