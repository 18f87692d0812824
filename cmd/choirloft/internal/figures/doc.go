// Package figures draws songs and sizes: [Lanes] has a lane for each voice and
// the demand curve above them, [Curve] what each number of voices costs beside
// what no rule can do better.
//
// It draws what the contract says, in the words of say, and computes nothing but places. Kinds are told
// apart by shape; grey and the one accent only help.
package figures
