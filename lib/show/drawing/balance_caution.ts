/** Said wherever balance is reported. */
export const BALANCE_CAUTION: string =
  "Average spectra, average players and one simple hall: seats, microphones, a mix and a conductor's hand are not in " +
  "these figures, and can move a lead by more than the models differ.";
