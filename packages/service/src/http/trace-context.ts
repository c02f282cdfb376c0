/** `traceparent` (W3C Trace Context, level 1): which of the caller's traces a request belongs to. */

export interface TraceContext {
  /** 32 hexadecimal digits. */
  readonly traceId: string
  /** The caller's span, 16 hexadecimal digits. */
  readonly parentId: string
  readonly sampled: boolean
}

const FORM = /^([0-9a-f]{2})-([0-9a-f]{32})-([0-9a-f]{16})-([0-9a-f]{2})(-.*)?$/

/** The trace context of a header field; undefined if there is none or it is none. */
export function traceContext(field: string | readonly string[] | undefined): TraceContext | undefined {
  if (typeof field !== 'string' || field.length > 512) return undefined
  const [, version, traceId, parentId, flags, more] = FORM.exec(field) ?? []
  if (version === undefined || traceId === undefined || parentId === undefined || flags === undefined) return undefined
  // Later versions may say more at the end; ff is none, and zeros are nobody's id.
  if (version === 'ff' || (version === '00' && more !== undefined)) return undefined
  if (/^0+$/.test(traceId) || /^0+$/.test(parentId)) return undefined
  return { traceId, parentId, sampled: (Number.parseInt(flags, 16) & 1) === 1 }
}
