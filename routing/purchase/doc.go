// Package purchase says what further banks take besides: interfaces, supplies and rows,
// cables and multiples; or of what the rack is short that is not bought.
//
// Most users need one call: [New]. The result is a rig with all of it in place. Jacks
// and messages are tried with the packer of the map; rows, rails at three quarters of
// their rating and inputs of mixers are sums. What the rig does not say is not guessed:
// it is listed as unknown.
//
// A bought bank is like one of the rig, and the parts that play on that one play on it.
// An interface is like the one that drives it, a supply like the one that feeds it. What
// somebody measured of these is not taken to hold for the new ones.
package purchase
