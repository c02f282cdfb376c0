/** What a visit was for. A finding about something missing asks only for what the purpose promises. */
export const PURPOSES = ['full', 'flow-and-power', 'not-testable'] as const
export type Purpose = (typeof PURPOSES)[number]
